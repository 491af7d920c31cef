"""What `find` calls its files, also for whoever meets one of them later."""

from collections.abc import Sequence
from pathlib import Path

PLANS, BEST_CAR, BEST_DOUBT = "find_plans.toml", "find_best.toml", "find_best_doubt.csv"


def are_found(files: Sequence[str]) -> bool:
    """Whether one of these plan files comes from `find`, by its name."""
    return any(Path(one).name == PLANS for one in files)
