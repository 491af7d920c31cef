"""Sliders moved a hundred times a second: one question at a time, no queue left behind, nothing that grows.

Counted by requests, nodes and bytes; no clock decides.
"""

from pathlib import Path
from typing import TYPE_CHECKING, Any

import pytest

import kinematics as k
from tests.page.browsing import number, settled, slide, watched
from tests.page.conftest import opened
from tests.page.served import laid_open

if TYPE_CHECKING:
    from playwright.sync_api import Browser, Page, Request

EACH = 10  # ms between two moves
MOVES = """async ([key, count, each]) => {
  const slide = document.querySelector(`.slider[data-key="${key}"] input[type=range]`);
  for (let i = 0; i <= count; i += 1) {
    slide.value = 15 * Math.sin(i / 7);
    slide.dispatchEvent(new Event('input', { bubbles: true }));
    await new Promise((done) => setTimeout(done, each));
  }
  slide.value = 12;
  slide.dispatchEvent(new Event('input', { bubbles: true }));
}"""
JOINT = "front/longer ball joint//by"


class InFlight:
    """Questions about the position: how many at once at most, and how many in all."""

    def __init__(self, page: "Page") -> None:
        self.now = self.most = self.count = 0
        page.on("request", self._asked)
        page.on("requestfinished", self._answered)

    def _asked(self, request: "Request") -> None:
        if request.url.endswith("/position"):
            self.now, self.count = self.now + 1, self.count + 1
            self.most = max(self.most, self.now)

    def _answered(self, request: "Request") -> None:
        self.now -= request.url.endswith("/position")


def sizes(page: "Page") -> tuple[int, int]:
    """Nodes and bytes that the page holds once what is not needed is thrown away."""
    session = page.context.new_cdp_session(page)
    for _ in range(3):
        session.send("HeapProfiler.collectGarbage")
    counters: Any = session.send("Memory.getDOMCounters")
    usage: Any = session.send("Runtime.getHeapUsage")
    session.detach()
    return counters["nodes"], usage["usedSize"]


def resident(process: int) -> int:
    """Memory of a process [kB]."""
    status = Path(f"/proc/{process}/status")
    if not status.exists():
        return 0
    return int(next(line.split()[1] for line in status.read_text().splitlines() if line.startswith("VmRSS")))


@pytest.mark.campaign
@pytest.mark.parametrize(
    ("key", "count"),
    [("heave", 6000), (JOINT, 6000)],
)
def test_no_queue_and_nothing_grows(key: str, count: int, browser: "Browser", tmp_path: Path) -> None:
    with opened(laid_open(tmp_path)) as (address, running), watched(browser, address) as page:
        page.evaluate(MOVES, [key, 100, EACH])
        settled(page)
        nodes, heap = sizes(page)
        before = resident(running.pid)
        flight = InFlight(page)
        page.evaluate(MOVES, [key, count, EACH])
        asked = flight.count
        settled(page)
        assert flight.most == 1
        assert flight.count - asked <= 2  # what was under way, and the newest
        assert asked <= count
        heave = 12.0 if key == "heave" else 0.0
        changes = () if key == "heave" else (k.Change("front", "longer ball joint", 12.0),)
        after = k.carry_out(k.demo_car("lowered_coupe.toml"), [k.Plan("tried", changes)])[0]["front"].axle
        height = float(k.sweep_roll(after, [0.0], heave)["roll_centre_height"][0])
        assert number(page, "roll_centre_height") == [f"{height:+.1f} mm"]
        slide(page, key, 0)
        slide(page, key, 12)
        now, used = sizes(page)
        assert now <= nodes + 500
        assert used <= heap + 3_000_000  # undone steps are kept, some hundred bytes each
        assert resident(running.pid) <= before + 30_000
