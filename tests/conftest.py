"""What every run has in common: one core a process, how many random cars, and which tests wait for the campaign.

`pytest` alone is a newcomer's run: few random cars, the same in every run. `pytest --campaign` is all there is: many
more cars, other ones with each `--hypothesis-seed`, and the tests marked `campaign`. This file is the only switch.
"""

import os
import zlib
from collections import defaultdict

import hypothesis
import pytest
from hypothesis import HealthCheck, Phase
from hypothesis.internal.conjecture import providers

from kinematics.car.suspension_type import SuspensionType
from kinematics.car.suspensions import SUSPENSIONS
from tests.short_run import leave_undrawn

for name in ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS"):
    # Two test processes on two cores would wait for each other's matrix products.
    os.environ.setdefault(name, "1")

# Now and then Hypothesis draws a number that it finds in whatever code of this project is loaded. A test's cars would
# depend on the files that run before it, and on every number in them. What it knows by itself it may draw.
if hasattr(providers, "_get_local_constants"):
    providers._get_local_constants = providers.Constants

# A car that fails is shown as drawn: making fifty coordinates simpler one by one takes minutes and tells no more.
_CARS = hypothesis.settings(
    deadline=None,
    database=None,
    derandomize=True,
    max_examples=2,
    phases=(Phase.explicit, Phase.generate),
    print_blob=False,
    suppress_health_check=(HealthCheck.large_base_example, HealthCheck.data_too_large, HealthCheck.too_slow),
)
hypothesis.settings.register_profile("few", _CARS)
hypothesis.settings.register_profile("campaign", _CARS, derandomize=False, max_examples=20)

# Folders whose files share what takes longest to make: every command, run once in mm and once in inches.
_SHARING = ("tests/outputs/",)

# A check that is made of many types has one in three of them in a short run, each check others.
_ONE_IN = 3

_LEFT_OUT = pytest.StashKey[int]()


def pytest_addoption(parser: pytest.Parser) -> None:
    """One switch: few random cars, or the campaign."""
    parser.addoption("--campaign", action="store_true", help="every random car and every engine run")


def pytest_configure(config: pytest.Config) -> None:
    """Draw few cars, or many."""
    config.stash[_LEFT_OUT] = 0
    hypothesis.settings.load_profile("campaign" if config.getoption("--campaign") else "few")


@pytest.fixture(scope="session")
def campaign(request: pytest.FixtureRequest) -> bool:
    """Whether this run is the campaign."""
    return bool(request.config.getoption("--campaign"))


@pytest.fixture
def undrawn(monkeypatch: pytest.MonkeyPatch) -> None:
    """Make no figures where a test looks at tables."""
    leave_undrawn(monkeypatch)


@pytest.hookimpl(trylast=True)
def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Leave out what only the campaign runs."""
    if config.getoption("--campaign"):
        return
    resting = _resting(items)
    waiting = [item for item in items if item.get_closest_marker("campaign") or item in resting]
    if waiting:
        config.stash[_LEFT_OUT] = len(waiting)
        config.hook.pytest_deselected(items=waiting)
        left_out = set(waiting)
        items[:] = [item for item in items if item not in left_out]


def _resting(items: list[pytest.Item]) -> set[pytest.Item]:
    """Of each check that is made of many types those that a short run leaves out, two in three.

    By the check's name and the types' order: the same in every run, and no type rests in all checks.
    """
    types: dict[str, dict[str, list[pytest.Item]]] = defaultdict(lambda: defaultdict(list))
    for item in items:
        if not item.get_closest_marker("campaign") and (kind := _type_of(item)):
            types[item.nodeid.partition("[")[0]][kind].append(item)
    resting: set[pytest.Item] = set()
    for check, by_type in types.items():
        if len(by_type) > _ONE_IN:
            start = zlib.crc32(check.encode()) % _ONE_IN
            resting.update(*(own for place, own in enumerate(by_type.values()) if place % _ONE_IN != start))
    return resting


def _type_of(item: pytest.Item) -> str | None:
    """The suspension type that a test is of, by its name, or by that of a random axle."""
    given = getattr(item, "callspec", None)
    for value in given.params.values() if given else ():
        name = getattr(value, "kind", getattr(value, "name", value))
        if isinstance(name, str) and name in SUSPENSIONS:
            return name
    return None


def pytest_terminal_summary(terminalreporter: pytest.TerminalReporter, config: pytest.Config) -> None:
    """Say what was left out: with -q, pytest would not, and of other processes it does not know."""
    if left_out := config.stash[_LEFT_OUT]:
        terminalreporter.write_line(f"left out: {left_out} longer checks and most random cars (add --campaign)")


def pytest_sessionfinish(session: pytest.Session) -> None:
    """Tell the process that started this one how many were left out."""
    if (told := getattr(session.config, "workeroutput", None)) is not None:
        told["left_out"] = session.config.stash[_LEFT_OUT]


@pytest.hookimpl(optionalhook=True)
def pytest_testnodedown(node: object) -> None:
    """Hear it: every process collects all tests, so that each tells the same."""
    config, told = node.config, getattr(node, "workeroutput", {})  # type: ignore[attr-defined]
    config.stash[_LEFT_OUT] = max(config.stash[_LEFT_OUT], told.get("left_out", 0))


@pytest.hookimpl(optionalhook=True)
def pytest_xdist_make_scheduler(config: pytest.Config, log: object) -> object:
    """Tests of one file go to one process, so that what they share is made once; some folders share too."""
    from xdist.scheduler import LoadScopeScheduling

    class Scheduling(LoadScopeScheduling):
        def _split_scope(self, nodeid: str) -> str:
            return next((folder for folder in _SHARING if nodeid.startswith(folder)), super()._split_scope(nodeid))

    return Scheduling(config, log)


def pytest_make_parametrize_id(val: object) -> str | None:
    """No spaces in a test's name, and a suspension type by its name: `-k five-link` works."""
    if isinstance(val, SuspensionType):
        return val.name.replace(" ", "-")
    return val.replace(" ", "-") if isinstance(val, str) and val.isprintable() and val.isascii() else None
