"""The file is the truth: what is changed in it by hand is noticed, and its faults are told in the reader's words."""

import asyncio
import http.client
import os
import signal
import socket
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

import pytest

from kinematics.inputs.reading.faults import InputFaultError
from reports.command_line import main
from reports.page.server import taken_place
from tests.page.conftest import opened
from tests.page.served import Page, laid_open


def write(path: Path, old: str, new: str) -> None:
    """As an editor saves, never within the clock's tick of the last time."""
    path.write_text(path.read_text("utf-8").replace(old, new), encoding="utf-8")
    before = path.stat().st_mtime_ns
    os.utime(path, ns=(before, before + 10_000_000))


def test_a_file_changed_by_hand_is_read_again(tmp_path: Path) -> None:
    path = laid_open(tmp_path)
    page = Page(path)
    first = page.get("car")
    assert first["axles"][0]["axle"] == "front"
    write(path, "camber = -2.2", "camber = -1.0")
    moved = page.post("position", {"axle": "front"})
    assert moved["version"] != first["version"]
    camber = next(one["words"] for one in moved["numbers"] if one["key"] == "camber")
    assert camber == ["-1.00 deg", "-1.00 deg"]
    assert page.get("car")["version"] == moved["version"]


def test_a_file_spoiled_by_hand_is_told_in_the_readers_words_and_can_be_mended(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = laid_open(tmp_path)
    page = Page(path)
    page.get("car")
    write(path, "out = 741", "out = true")
    told = page.post("position", {"axle": "front"}, status=422)
    assert main(["show", str(path)]) == 2
    screen = capsys.readouterr().err
    assert told["faults"]
    assert all(fault in screen for fault in told["faults"])
    write(path, "out = true", "out = 741")
    assert page.post("position", {"axle": "front"})["numbers"]


def test_a_file_that_is_gone_is_told(tmp_path: Path) -> None:
    path = laid_open(tmp_path)
    page = Page(path)
    page.get("car")
    path.unlink()
    assert "no such file" in " ".join(page.post("position", {"axle": "front"}, status=422)["faults"]).lower()


def test_a_port_in_use_is_one_plain_sentence() -> None:
    taken = taken_place(0)
    port = taken.socket.getsockname()[1]
    with pytest.raises(InputFaultError, match=f"--port: port {port} cannot be used"):
        taken_place(port)
    taken.socket.close()


def test_whoever_comes_before_the_server_answers_waits() -> None:
    """The address is printed, and a browser opened, before the first answer can be given."""
    place = taken_place(0)
    with socket.create_connection(place.socket.getsockname()):
        pass
    place.socket.close()


def test_each_part_of_an_answer_is_sent_at_once() -> None:
    """By the socket's own option (RFC 9293, 3.7.4): no end of an answer waits until its beginning is acknowledged."""
    place = taken_place(0)
    at_once: list[int] = []

    class Asked(asyncio.Protocol):
        def connection_made(self, transport: asyncio.BaseTransport) -> None:
            own = transport.get_extra_info("socket")
            at_once.append(own.getsockopt(socket.IPPROTO_TCP, socket.TCP_NODELAY))
            transport.close()

    async def served() -> None:
        server = await asyncio.get_running_loop().create_server(Asked, sock=place.socket)
        reader, writer = await asyncio.open_connection(*place.socket.getsockname())
        assert await reader.read() == b""
        writer.close()
        server.close()

    with ThreadPoolExecutor(1) as thread:  # a browser that is driven keeps this one's event loop
        thread.submit(asyncio.run, served()).result()
    assert [bool(one) for one in at_once] == [True]


def test_two_places_have_two_keys_that_are_long_enough() -> None:
    one, other = taken_place(0), taken_place(0)
    assert one.key != other.key
    assert len(one.key) >= 32  # 24 random bytes
    assert one.address == f"http://{one.host}/{one.key}/"
    assert one.socket.getsockname()[0] == "127.0.0.1"
    one.socket.close()
    other.socket.close()


def test_standard_input_cannot_be_read_again(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["open", "-"]) == 2
    assert "name" in capsys.readouterr().err


def test_a_file_that_is_no_car_opens_nothing(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = laid_open(tmp_path)
    path.write_text("units = \n", encoding="utf-8")
    assert main(["open", str(path), "--no-browser"]) == 2
    told = capsys.readouterr()
    assert told.out == ""
    assert "not valid TOML" in told.err


@pytest.mark.campaign
@pytest.mark.skipif(os.name == "nt", reason="Ctrl+C is sent otherwise there")
def test_ctrl_c_ends_it_and_that_is_no_fault(tmp_path: Path) -> None:
    with opened(laid_open(tmp_path)) as (address, running):
        place, path = address.removeprefix("http://").split("/", 1)
        line = http.client.HTTPConnection(place)
        line.request("GET", f"/{path}")
        line.getresponse().read()  # it answers, and a browser keeps its line open
        assert line.sock is not None
        running.send_signal(signal.SIGINT)
        assert running.wait(60) == 0
        line.close()
