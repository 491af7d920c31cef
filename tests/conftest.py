"""What every run has in common: one core a process, how many random cars, and which tests wait for the campaign.

`pytest` alone is a newcomer's run: few random cars, the same in every run. `pytest --campaign` is all there is: many
more cars, other ones with each `--hypothesis-seed`, and the tests marked `campaign`. This file is the only switch.
"""

import os

import hypothesis
import pytest
from hypothesis import HealthCheck, Phase
from hypothesis.internal.conjecture import providers
from matplotlib.figure import Figure

from kinematics.car.suspension_type import SuspensionType

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
    """Leave figures unfinished where a test looks at tables: drawing takes most of a command's time."""
    monkeypatch.setattr(Figure, "savefig", lambda _, file, **__: file.write(b"not drawn"))


@pytest.hookimpl(trylast=True)
def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Leave out what only the campaign runs."""
    if config.getoption("--campaign"):
        return
    waiting = [item for item in items if item.get_closest_marker("campaign")]
    if waiting:
        config.stash[_LEFT_OUT] = len(waiting)
        config.hook.pytest_deselected(items=waiting)
        items[:] = [item for item in items if not item.get_closest_marker("campaign")]


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
