"""What the page's server answers: the page's own files, the car, and one position for each move of a slider."""

import json
from collections.abc import Awaitable, Callable
from pathlib import Path
from typing import TypeVar

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import JSONResponse, RedirectResponse, Response
from starlette.routing import Mount, Route
from starlette.staticfiles import StaticFiles

from kinematics.inputs.reading.faults import Fault, InputFaultError
from kinematics.inputs.reading.file_fields import Table, validated
from reports.documents.amounts import Record
from reports.page.bench import Bench
from reports.page.guard import MOST_BYTES
from reports.page.look import look
from reports.page.position import Pose, Stand, position
from reports.page.reach import rack_reach

_ASSETS = Path(__file__).parent / "assets"
_Asked = TypeVar("_Asked", bound=Table)
_Answer = Callable[[Request], Awaitable[Response]]


class TooLargeError(Exception):
    """More was posted than is taken."""


def application(bench: Bench) -> Starlette:
    """All answers about the car on a bench."""
    routes = [
        Route("/", _first),
        Route("/car", _told(lambda _: _look(bench)), methods=["GET"]),
        Route("/position", _told(lambda body: _position(bench, body)), methods=["POST"]),
        Mount("/page", StaticFiles(directory=_ASSETS, html=True)),
    ]
    made = Starlette(routes=routes)
    made.router.redirect_slashes = False  # it would lose the key
    return made


async def _first(request: Request) -> Response:
    """The address as it is printed leads to the page; everything on it is named from there."""
    del request
    return RedirectResponse("page/")


def _told(answer: Callable[[object], Record]) -> _Answer:
    """Answer in another thread; what is at fault in a file or in what was posted is told in its own words."""

    async def told(request: Request) -> Response:
        try:
            body = await _posted(request) if request.method == "POST" else None
            return JSONResponse(await run_in_threadpool(answer, body))
        except TooLargeError:
            return JSONResponse({"faults": [f"more than {MOST_BYTES} bytes were posted"]}, 413)
        except InputFaultError as found:
            return JSONResponse({"source": found.source, "faults": list(map(str, found.faults))}, 422)

    return told


async def _posted(request: Request) -> object:
    """What was posted, read no farther than is taken."""
    taken = bytearray()
    async for part in request.stream():
        taken += part
        if len(taken) > MOST_BYTES:
            raise TooLargeError
    try:
        return json.loads(bytes(taken))
    except (ValueError, RecursionError):
        raise InputFaultError("the page", [Fault("", "what was posted is no JSON")]) from None


def asked(model: type[_Asked], body: object) -> _Asked:
    """What the page asks for; InputFaultError where it is none of what it may ask."""
    found, faults = validated(model, body if isinstance(body, dict) else {})
    if found is None or faults:
        raise InputFaultError("the page", faults)
    return found


def _look(bench: Bench) -> Record:
    with bench.lock:
        return look(bench, bench.opened())


def _position(bench: Bench, body: object) -> Record:
    pose = asked(Pose, body)
    with bench.lock:
        opened = bench.opened()
        axle = next((one for one in opened.car.axles if one.name == pose.axle), opened.car.axles[0])
        stand = Stand.of(pose, opened.reach, rack_reach(axle), opened.car.unit)
        return {"version": opened.version, **position(bench, opened, axle, stand)}
