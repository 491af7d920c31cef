"""Studies handed to other processes give what they give here, to the last bit: a process pool, a distributed engine.

The distributed engine is Dask's (`distributed`), whose client gives an executor of the kind of `concurrent.futures`.
"""

from collections.abc import Iterator
from concurrent.futures import Executor, Future, ProcessPoolExecutor
from multiprocessing import get_context

import numpy as np
import pytest

from kinematics.doubt.assessment import Chances, assess
from kinematics.doubt.differences import plan_doubts
from kinematics.doubt.question import Question
from kinematics.inputs.demo_cars import DEMO_CARS, demo_car, demo_plans, demo_text
from kinematics.inputs.plans.shelf_file import shelf_from
from kinematics.loads.report import whole_car
from kinematics.loads.shelf import rank
from solvers.spread import BLOCK

CAR = demo_car()
QUESTION = Question(np.linspace(-30.0, 30.0, 5), np.radians([-1.0, 0.0, 1.0]), np.array([-20.0, 0.0, 20.0]))
DRAWS = 3 * BLOCK + 50  # the last block is not full


@pytest.fixture(scope="module", params=["processes", "distributed"])
def executor(request: pytest.FixtureRequest) -> Iterator[Executor]:
    if request.param == "processes":
        with ProcessPoolExecutor(2, mp_context=get_context("spawn")) as pool:
            yield pool
        return
    distributed = pytest.importorskip("distributed")
    with (
        # Its page of diagnostics on any free port: the tests beside this one may start an engine too.
        distributed.LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=":0") as cluster,
        distributed.Client(cluster) as client,
        client.get_executor() as pool,
    ):
        yield pool


def _chances(executor: Executor | None) -> Chances:
    assessment = assess(CAR.front, QUESTION, CAR.limits, draws=DRAWS, seed=4, executor=executor)
    assert assessment is not None
    assert assessment.chances is not None
    return assessment.chances


@pytest.mark.campaign
def test_monte_carlo(executor: Executor) -> None:
    here, there = _chances(None), _chances(executor)
    assert here.holding == there.holding
    assert here.spread.keys() == there.spread.keys()
    for key, spread in here.spread.items():
        for part in ("known", "mean", "squares", "lowest", "highest", "middle", "width", "heights"):
            np.testing.assert_array_equal(getattr(spread, part), getattr(there.spread[key], part), err_msg=str(key))


@pytest.mark.campaign
def test_plans(executor: Executor) -> None:
    plans = demo_plans().plans[:2]
    here, there = (
        plan_doubts(CAR, CAR.front, plans, CAR.limits, draws=BLOCK + 20, seed=2, executor=one)
        for one in (None, executor)
    )
    for one, other in zip(here, there, strict=True):
        assert one.holding == other.holding
        for key, spread in one.spread.items():
            np.testing.assert_array_equal(spread.heights, other.spread[key].heights)
            np.testing.assert_array_equal(spread.mean, other.spread[key].mean)


@pytest.mark.campaign
def test_shelf(executor: Executor, monkeypatch: pytest.MonkeyPatch) -> None:
    import tomllib

    monkeypatch.setattr("kinematics.loads.shelf._BLOCK", 20)
    car = demo_car(DEMO_CARS["rear-drive-saloon"])
    shelf = shelf_from(tomllib.loads(demo_text("rear_drive_saloon_shelf.toml")), "shelf", car)
    here, there = (rank(whole_car(car), shelf, car.limits, executor=one) for one in (None, executor))
    assert here.names == there.names
    for part in ("rates", "gradient", "front_share", "heave", "outside", "solved", "missed"):
        np.testing.assert_array_equal(getattr(here, part), getattr(there, part))


def test_no_more_is_handed_out_than_memory_holds() -> None:
    class Counting(Executor):
        open = most = 0

        def submit(self, work, /, *arguments, **keywords):
            Counting.open += 1
            Counting.most = max(Counting.most, Counting.open)
            future: Future[object] = Future()
            future.set_result(work(*arguments, **keywords))
            result = future.result

            def taken(timeout: float | None = None) -> object:
                Counting.open -= 1
                return result(timeout)

            future.result = taken  # type: ignore[method-assign]
            return future

    from solvers.executors import in_order

    assert list(in_order(Counting(), lambda piece: piece * piece, range(100))) == [n * n for n in range(100)]
    assert Counting.most < 20
    assert Counting.open == 0
