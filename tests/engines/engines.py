"""The engines that check the solver: MuJoCo always, Exudyn where it is installed."""

from collections.abc import Callable

import pytest

from tests.engines.linkage import Linkage
from tests.engines.mujoco_linkage import MujocoLinkage


def mujoco() -> Linkage:
    return MujocoLinkage()


def exudyn() -> Linkage:
    pytest.importorskip("exudyn", reason="the second engine is not installed (pip install exudyn)")
    from tests.engines.exudyn_linkage import ExudynLinkage

    return ExudynLinkage()


ENGINES: list[Callable[[], Linkage]] = [mujoco, exudyn]
