"""A pytest plugin that notes how closely compared numbers agreed: what was asked and what was reached, test by test.

It listens to assertions that pass (`a < b` of sizes, `a == b +- c` of pytest.approx) and to NumPy's assert_allclose,
and hands the closest call of each test to its report, whatever process it ran in.
"""

import re
from collections.abc import Callable, Iterator
from typing import Any

import numpy as np
import pytest

from tests.validation import KEY, Agreement

_NUMBER = r"(?:np\.\w+\()?([-+]?(?:\d+\.?\d*|\.\d+)(?:e[-+]?\d+)?|inf|nan)\)?"
_SMALLER = re.compile(rf"^\(?{_NUMBER} <=? {_NUMBER}")
_APPROX = re.compile(rf"^\(?{_NUMBER} == {_NUMBER} ± {_NUMBER}")
_SIZES = ("abs(", ".max()", "norm(", "apart", "between", "error")  # what makes `a < b` a comparison of two sides


class AgreementLog:
    """Notes agreements of the test that runs."""

    def __init__(self) -> None:
        self._now: list[Agreement] = []

    def note(self, reached: float, asked: float) -> None:
        """One comparison; of a test the one that came nearest to its tolerance is kept."""
        if np.isfinite(reached) and np.isfinite(asked) and asked > 0.0:
            self._now.append((abs(reached), asked))

    @pytest.hookimpl(hookwrapper=True)
    def pytest_runtest_call(self, item: pytest.Item) -> Iterator[None]:
        self._now = []
        kept = np.testing.assert_allclose
        np.testing.assert_allclose = self._listening(kept)
        module = getattr(item, "module", None)
        own = getattr(module, "assert_allclose", None)
        if own is kept:
            module.assert_allclose = np.testing.assert_allclose
        try:
            yield
        finally:
            np.testing.assert_allclose = kept
            if own is kept:
                module.assert_allclose = kept
        if self._now:
            item.user_properties.append((KEY, max(self._now, key=lambda one: one[0] / one[1])))

    def pytest_assertion_pass(self, item: pytest.Item, lineno: int, orig: str, expl: str) -> None:
        del item, lineno
        approx = _APPROX.match(expl)
        if approx is not None:
            here, there, asked = (float(part) for part in approx.groups())
            self.note(here - there, asked)
            return
        smaller = _SMALLER.match(expl)
        if smaller is not None and any(word in orig for word in _SIZES):
            self.note(*(float(part) for part in smaller.groups()))

    def _listening(self, kept: Callable[..., None]) -> Callable[..., None]:
        def assert_allclose(actual: Any, desired: Any, rtol: float = 1e-7, atol: float = 0.0, **others: Any) -> None:
            kept(actual, desired, rtol=rtol, atol=atol, **others)
            with np.errstate(invalid="ignore"):
                off = np.abs(np.asarray(actual) - np.asarray(desired)).reshape(-1)
                asked = (atol + rtol * np.abs(np.asarray(desired)) + np.zeros(np.shape(actual))).reshape(-1)
            known = np.isfinite(off) & (asked > 0.0)
            if known.any():
                worst = int(np.argmax(np.where(known, off / np.where(known, asked, 1.0), -1.0)))
                self.note(float(off[worst]), float(asked[worst]))

        return assert_allclose


def pytest_configure(config: pytest.Config) -> None:
    """Start listening."""
    config.pluginmanager.register(AgreementLog(), "agreement log")
