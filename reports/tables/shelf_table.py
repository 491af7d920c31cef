"""What each combination of springs and bars would do, best first, in the terminal and as a table in a file."""

from collections.abc import Sequence

from rich.box import SIMPLE_HEAD
from rich.console import Console
from rich.table import Table
from rich.text import Text

from kinematics.car.car import Car
from kinematics.car.limits import WorkingRange
from kinematics.car.units import Units
from kinematics.loads.shelf import Ranking
from kinematics.numbers.quantity import Dimension
from kinematics.planning.shelf_travel import NearestEnd, ShelfTravel, short_of
from reports.outputs.shelf_files import PLACES
from reports.words.lean import shelf_words
from reports.words.numbers import shown
from reports.words.travel import shelf_travel_words
from reports.words.wrapped import wrapped

_SHOWN = 15


def show_ranking(
    out: Console, car: Car, ranking: Ranking, travel: Sequence[ShelfTravel], working: WorkingRange, *, in_file: bool
) -> None:
    """Print the car as it is, then the best combinations, and what each swap changes.

    travel: what each combination leaves of the travel; working: what the car uses of it.
    """
    units = Units(car.unit)
    length = units.length
    varied = [i for i in range(4) if len({one[i] for one in ranking.names}) > 1]
    table = Table(
        title=f"{car.name}: as it is, then what is on the shelf, best first",
        title_justify="left",
        box=SIMPLE_HEAD,
        pad_edge=False,
        padding=(0, 1, 0, 0),
    )
    limits = bool(ranking.missed.any())
    for i in varied:
        table.add_column(PLACES[i].replace(" ", "\n"), overflow="fold")
    # The unit stands below its number's name: a narrow terminal cuts words, and units must not go.
    heads = ["roll\ndeg/g", "front\nshare\n%", f"front\n{length.symbol}", f"rear\n{length.symbol}"]
    heads += [f"{way}\nto go\n{length.symbol}" for way in ("bump", "droop")]
    heads += [*(["limits\nmissed\nat rest"] if limits else []), "missed\nby"]
    for head in heads:
        table.add_column(head, justify="right", no_wrap=True)
    for i in range(min(len(ranking.names), _SHOWN + 1)):
        cells = [ranking.names[i][place] for place in varied]
        if ranking.solved[i]:
            # Rounding first keeps a tiny negative number from showing as -0.
            heights = (f"{round(length.from_mm(float(one[i])), 1) + 0.0:+.1f}" for one in ranking.heave)
            held = "holds" if ranking.outside[i] <= 0.0 else f"{100.0 * ranking.outside[i]:.0f} %"
            cells += [f"{ranking.gradient[i]:.2f}", f"{100.0 * ranking.front_share[i]:.1f}", *heights]
            cells += [_to_go(nearest, way, car, working) for way, nearest in travel[i].ways()]
            cells += [*([str(int(ranking.missed[i]))] if limits else []), held]
        else:
            cells += [*[""] * (7 if limits else 6), "no balance"]
        table.add_row(*cells)
    out.print(table)
    out.print(Text(shelf_words(ranking, _SHOWN, in_file=in_file)))
    for line in wrapped(shelf_travel_words(travel, car, working)):
        out.print(Text(line))


def _to_go(nearest: NearestEnd | None, way: str, car: Car, working: WorkingRange) -> str:
    """Travel to go in one way, marked where the car uses more."""
    if nearest is None:
        return "-"
    mark = "!" if short_of(nearest, way, working) else ""
    return shown(nearest.end.travel, Dimension.LENGTH, car.unit) + mark
