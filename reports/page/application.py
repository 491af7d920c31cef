"""What the page's server answers: the page's own files, and questions about the car, its plans and the search."""

import json
from collections.abc import Awaitable, Callable
from functools import partial
from pathlib import Path
from typing import TypeVar
from urllib.parse import quote

from starlette.applications import Starlette
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import JSONResponse, PlainTextResponse, RedirectResponse, Response
from starlette.routing import Mount, Route
from starlette.staticfiles import StaticFiles

from kinematics.inputs.reading.faults import Fault, InputFaultError
from kinematics.inputs.reading.file_fields import Table, validated
from reports.documents.amounts import Record
from reports.page.bands import bands
from reports.page.bench import Bench
from reports.page.beside import Names, margins
from reports.page.desk import Begun, Desk, TableBegun, begin, begin_from_table, choices, fitted
from reports.page.file_version import Seen
from reports.page.guard import MOST_BYTES
from reports.page.leaning import Corner, at_hand, leaning
from reports.page.look import look
from reports.page.means_form import MeansTyped, means_form, write_means
from reports.page.measuring import NO_FORM, Typed, checked, form, save, unsave
from reports.page.plan_list import Kept, Named, forget_plan, keep_plan, listed, put_plan_back, ranked
from reports.page.plan_store import read_kept
from reports.page.plans_told import plans_told
from reports.page.position import Pose, moved
from reports.page.rules_held import rules_held
from reports.page.search_job import SearchJob
from reports.page.surveying import (
    BegunSurvey,
    Fitted,
    Read,
    begin_survey,
    save_survey,
    survey_beside,
    survey_form,
)
from reports.page.take_along import content, parcels
from reports.page.travel_told import travel_told
from reports.page.trial import Asked, judged
from reports.page.trial_store import Tried, keep_trial, read_trial, trial_beside
from reports.page.typed_value import TypedAmount, amount_read

_ASSETS = Path(__file__).parent / "assets"
_Asked = TypeVar("_Asked", bound=Table)
_Answer = Callable[[Request], Awaitable[Response]]


class TooLargeError(Exception):
    """More was posted than is taken."""


def application(desk: Desk) -> Starlette:
    """All answers about the car on a desk."""
    search = SearchJob()
    asks = {
        "/car": _look,
        "/plans": _plans,
        "/ranked": _ranked,
        "/compared": lambda bench: plans_told(bench, bench.opened()),
        "/form": _form,
        "/trial": _trial,
        "/survey": _survey,
        "/take": lambda bench: parcels(bench, bench.opened()),
        "/pieces": lambda bench: at_hand(bench, bench.opened()),
        "/found": lambda _: search.state(),
        "/means": lambda bench: means_form(bench.opened(), bench.means),
    }
    posts = {
        "/position": _position,
        "/amount": lambda _, body: amount_read(asked(TypedAmount, body)),
        "/judged": _judged,
        "/bands": _bands,
        "/margins": _margins,
        "/travel": lambda bench, body: travel_told(bench.opened(), asked(Asked, body)),
        "/leaning": _leaning,
        "/checked": _checked,
        "/save": _save,
        "/unsave": _unsave,
        "/survey": _begin_survey,
        "/survey-checked": _check_survey,
        "/survey-next": _survey_next,
        "/survey-saved": _save_survey,
        "/keep": _keep,
        "/trial": _keep_trial,
        "/forget": _forget,
        "/put-back": _put_back,
        "/means": _write_means,
        "/find": lambda bench, _: _find(bench, search),
        "/stop": lambda _, __: _stopped(search),
    }
    routes = [
        Route("/", _first),
        Route("/begin", _told(partial(_choices, desk)), methods=["GET"]),
        Route("/begin", _told(partial(_begun, desk)), methods=["POST"]),
        Route("/begin-table", _told(partial(_begun_from_table, desk)), methods=["POST"]),
        Route("/fitted", _told(partial(_fitted, desk, search)), methods=["POST"]),
        *(Route(path, _told(partial(_asked_of, answer, desk)), methods=["GET"]) for path, answer in asks.items()),
        *(Route(path, _told(partial(_posted_to, answer, desk)), methods=["POST"]) for path, answer in posts.items()),
        Route("/take/{parcel}/{name}", partial(_taken, desk), methods=["GET"]),
        Mount("/page", StaticFiles(directory=_ASSETS, html=True)),
    ]
    made = Starlette(routes=routes)
    made.router.redirect_slashes = False  # it would lose the key
    return made


def _asked_of(answer: Callable[[Bench], Record], desk: Desk, _: object) -> Record:
    """What is only asked, and posts nothing."""
    return answer(desk.on_it)


def _posted_to(answer: Callable[[Bench, object], Record], desk: Desk, body: object) -> Record:
    return answer(desk.on_it, body)


def _choices(desk: Desk, _: object) -> Record:
    """What can be begun with; nothing where a car is open."""
    return {"open": desk.bench is not None, **(choices(desk) if desk.bench is None else {})}


def _begun(desk: Desk, body: object) -> Record:
    asked_for = asked(Begun, body)
    with desk.writing:
        return begin(desk, asked_for)


async def _first(request: Request) -> Response:
    """The address as it is printed leads to the page; everything on it is named from there."""
    del request
    return RedirectResponse("page/")


async def _taken(desk: Desk, request: Request) -> Response:
    """A file to be taken along; what is at fault is told as words, for it stands in a tab of its own."""
    parcel, name = request.path_params["parcel"], request.path_params["name"]

    def asked_for() -> bytes:
        bench = desk.on_it
        return content(bench, bench.opened(), parcel, name)

    try:
        found = await run_in_threadpool(asked_for)
    except InputFaultError as fault:
        return PlainTextResponse(str(fault), 404)
    attached = {"content-disposition": f"attachment; filename*=UTF-8''{quote(name, safe='')}"}
    return Response(found, headers=attached, media_type="application/octet-stream")


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
    if not bench.path.exists() and survey_beside(bench.path).exists():
        text = "is not there yet: fill in the tape readings, then write the car that fits them"
        raise InputFaultError(str(bench.path), [Fault("", text)])
    with bench.lock:
        return look(bench, bench.opened())


def _position(bench: Bench, body: object) -> Record:
    pose = asked(Pose, body)
    with bench.lock:
        return moved(bench, bench.opened(), pose)


def _bands(bench: Bench, body: object) -> Record:
    pose = asked(Pose, body)
    with bench.lock:
        return bands(bench, bench.opened(), pose)


def _margins(bench: Bench, body: object) -> Record:
    return margins(bench, bench.opened(), asked(Names, body))


def _leaning(bench: Bench, body: object) -> Record:
    return leaning(bench, bench.opened(), asked(Corner, body))


def _judged(bench: Bench, body: object) -> Record:
    # Judging takes longest: the sliders are not to wait for it.
    opened, tried = bench.opened(), asked(Asked, body)
    rules = rules_held(read_kept(bench.plans, opened.car).file, bench.means, opened.car)
    return judged(opened, tried, rules)


def _begun_from_table(desk: Desk, body: object) -> Record:
    asked_for = asked(TableBegun, body)
    with desk.writing:
        return begin_from_table(desk, asked_for)


def _fitted(desk: Desk, search: SearchJob, body: object) -> Record:
    asked_for = asked(Fitted, body)
    with desk.writing:
        told = fitted(desk, asked_for)
    search.forget()  # it was of another car
    return told


def _survey(bench: Bench) -> Record:
    told = survey_form(survey_beside(bench.path))
    return {**told, "car": _free_beside(bench.path)}


def _free_beside(car: Path) -> str:
    """A name for the car that a survey makes."""
    names = [car.name, f"{car.stem}_surveyed.toml", *(f"{car.stem}_surveyed_{count}.toml" for count in range(2, 50))]
    return next((name for name in names if not car.with_name(name).exists()), "")


def _begin_survey(bench: Bench, body: object) -> Record:
    begun = asked(BegunSurvey, body)
    with bench.writing:
        begin_survey(survey_beside(bench.path), bench.path, begun)
    return _survey(bench)


def _check_survey(bench: Bench, body: object) -> Record:
    from reports.page.survey_verdict import survey_judged  # loads slowly

    return survey_judged(survey_beside(bench.path), asked(Read, body))


def _survey_next(bench: Bench, body: object) -> Record:
    from reports.page.survey_next import NextAsked, survey_next  # loads slowly

    return survey_next(survey_beside(bench.path), asked(NextAsked, body))


def _save_survey(bench: Bench, body: object) -> Record:
    read = asked(Read, body)
    with bench.writing:
        save_survey(survey_beside(bench.path), read)
    return _survey(bench)


def _form(bench: Bench) -> Record:
    if not bench.path.exists() and survey_beside(bench.path).exists():
        return NO_FORM  # the survey comes first
    return form(bench.path, bench.saved)


def _checked(bench: Bench, body: object) -> Record:
    return checked(bench.path, asked(Typed, body))


def _save(bench: Bench, body: object) -> Record:
    typed = asked(Typed, body)
    with bench.writing:
        return save(bench.path, typed, bench.saved)


def _unsave(bench: Bench, body: object) -> Record:
    seen = asked(Seen, body)
    with bench.writing:
        return unsave(bench.path, seen, bench.saved)


def _plans(bench: Bench) -> Record:
    return listed(bench, bench.opened())


def _ranked(bench: Bench) -> Record:
    return ranked(bench, bench.opened())


def _keep(bench: Bench, body: object) -> Record:
    kept = asked(Kept, body)
    with bench.writing:
        return keep_plan(bench, bench.opened(), kept)


def _trial(bench: Bench) -> Record:
    return read_trial(trial_beside(bench.path), bench.opened())


def _keep_trial(bench: Bench, body: object) -> Record:
    tried = asked(Tried, body)
    with bench.writing:
        return keep_trial(trial_beside(bench.path), bench.opened(), tried)


def _forget(bench: Bench, body: object) -> Record:
    named = asked(Named, body)
    with bench.writing:
        return forget_plan(bench, bench.opened(), named)


def _put_back(bench: Bench, body: object) -> Record:
    seen = asked(Seen, body)
    with bench.writing:
        return put_plan_back(bench, bench.opened(), seen)


def _write_means(bench: Bench, body: object) -> Record:
    typed = asked(MeansTyped, body)
    with bench.writing:
        return write_means(bench.opened(), bench.means, typed)


def _find(bench: Bench, search: SearchJob) -> Record:
    search.start(bench.opened(), bench.means)
    return search.state()


def _stopped(search: SearchJob) -> Record:
    search.stop()
    return search.state()
