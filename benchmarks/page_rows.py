"""One move of a slider on the page against the bare sweeps that it needs: answered, and painted on the screen."""

import json
import os
import shutil
import statistics
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import numpy as np

from benchmarks.timing import Row, best_of
from kinematics.car.car import Axle
from kinematics.inputs.demo_cars import demo_text
from kinematics.motion.moving_axle import MovingAxle
from kinematics.planning.plans import carry_out
from kinematics.sweeps.body import sweep_bump, sweep_roll
from reports.page.bench import Bench, OpenCar
from reports.page.position import CURVES, SAMPLES, Pose, moved
from reports.page.trial import plan_of

_CARS = (("lowered_coupe.toml", "front"), ("five_link_tourer.toml", "rear"), ("rear_drive_saloon.toml", "rear"))
_AGAINST = "its bare sweeps"
_MOVES = """async ([key, count]) => {
  const slide = document.querySelector(`.slider[data-key="${key}"] input[type=range]`);
  const painted = () => new Promise((done) => requestAnimationFrame(() => {
    const line = new MessageChannel();
    line.port1.onmessage = () => done(performance.now());
    line.port2.postMessage(0);
  }));
  const rest = () => new Promise((done) => {
    const look = () => (document.body.dataset.busy === undefined ? done() : setTimeout(look, 10));
    setTimeout(look, 10);
  });
  const times = [];
  for (let i = 0; i < count; i += 1) {
    await rest();
    const shown = new Promise((done) => {
      const seen = new MutationObserver(() => { seen.disconnect(); done(); });
      seen.observe(document.querySelector("#drawing"), { childList: true });
    });
    const start = performance.now();
    slide.value = (i % 2 ? -1 : 1) * (1 + (i % 12));
    slide.dispatchEvent(new Event("input", { bubbles: true }));
    await shown;
    times.push((await painted()) - start);
  }
  return times;
}"""


def rows(quick: bool) -> Iterator[Row]:
    """Both kinds of move, of two independent axles and a live one; then what is seen, where there is a browser."""
    with tempfile.TemporaryDirectory() as folder:
        for name, axle in _CARS:
            path = Path(folder) / name
            path.write_text(demo_text(name), encoding="utf-8")
            bench = Bench(path)
            yield _of_the_body(bench, axle, 3 if quick else 15)
            yield _of_a_change(bench, axle, 3 if quick else 15)
            yield _to_the_screen(bench, axle, 20 if quick else 100)


def _words(opened: OpenCar, axle: str) -> str:
    return f"{opened.car.axle(axle).suspension.name}: the page,"


def _of_the_body(bench: Bench, axle: str, repeats: int) -> Row:
    opened, heave = bench.opened(), _other_each_time()
    ready = bench.ready(opened.car.axle(axle), opened.reach)

    def ours() -> None:
        _sent(moved(bench, opened, Pose(axle=axle, heave=heave(), views=("front",))))

    times = best_of(repeats, 1, ours, lambda: _bare(ready, opened, heave()))
    name = f"{_words(opened, axle)} a move of the body, answered"
    return Row(name, *times, "drawing, numbers and eight curves of 41 states, written as JSON", against=_AGAINST)


def _of_a_change(bench: Bench, axle: str, repeats: int) -> Row:
    opened, raised = bench.opened(), _other_each_time()

    def asked() -> Pose:
        change = {"axle": axle, "what": "ride height", "by": raised()}
        return Pose(axle=axle, views=("front",), changes=(change,))

    def bare() -> None:
        after: Axle = carry_out(opened.car, [plan_of(opened, asked())], opened.springs)[0][axle].axle
        _bare(after, opened, 0.0)

    times = best_of(repeats, 1, lambda: _sent(moved(bench, opened, asked())), bare)
    name = f"{_words(opened, axle)} a change tried, answered"
    return Row(name, *times, "the change carried out on both sides", against=_AGAINST)


def _other_each_time() -> Callable[[], float]:
    """Amounts that nothing is kept for."""
    amounts = iter(np.random.default_rng(1).uniform(-20.0, 20.0, 100_000))
    return lambda: float(next(amounts))


def _bare(axle: Axle | MovingAxle, opened: OpenCar, heave: float) -> None:
    reach = opened.reach
    sweep_bump(axle, np.linspace(-reach.heave, reach.heave, SAMPLES), only=CURVES)
    sweep_roll(axle, np.linspace(-reach.roll, reach.roll, SAMPLES), heave, only=CURVES)


def _sent(answer: object) -> None:
    json.dumps(answer, separators=(",", ":")).encode()


def _to_the_screen(bench: Bench, axle: str, moves: int) -> Row:
    opened, heave = bench.opened(), _other_each_time()
    name = f"{_words(opened, axle)} a move of the body, painted"
    ready = bench.ready(opened.car.axle(axle), opened.reach)
    _, bare = best_of(10, 1, lambda: None, lambda: _bare(ready, opened, heave()))
    try:
        times = sorted(_painted(bench.path, axle, moves))
    except (ImportError, LookupError, OSError) as error:
        return Row(name, 1.0, 1.0, "", void=str(error), against=_AGAINST, needed=False)
    late = 1e3 * times[int(0.95 * len(times))]
    note = f"from the slider to drawing and curves on the screen, median; 95 of 100 within {late:.0f} ms"
    return Row(name, statistics.median(times), bare, note, against=_AGAINST)


def _painted(path: Path, axle: str, moves: int) -> list[float]:
    """Times of so many moves in a browser without a window [s]."""
    named = os.environ.get("PAGE_BROWSER", "required")
    program = shutil.which("chromium") or shutil.which("google-chrome") if named == "required" else named
    if program is None:
        raise LookupError("there is no browser")
    command = [sys.executable, "-m", "reports", "open", str(path), "--no-browser"]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as running:
        assert running.stdout is not None
        try:
            return _moved(running.stdout.readline().strip(), program, axle, moves)
        finally:
            running.terminate()


def _moved(address: str, program: str, axle: str, moves: int) -> list[float]:
    from playwright.sync_api import sync_playwright

    with sync_playwright() as driver:
        browser = driver.chromium.launch(executable_path=program, args=["--no-sandbox"])
        page = browser.new_page(viewport={"width": 1280, "height": 900})
        page.goto(address)
        page.wait_for_selector("#numbers tbody tr")
        page.locator("#axles button", has_text=f"{axle} axle").click()
        times: Any = page.evaluate(_MOVES, ["heave", moves])
        browser.close()
    return [one / 1e3 for one in times[min(5, moves - 1) :]]  # the first ones warm up
