"""Files made beside their folder first: what is there already and the same is left alone, what differs is refused."""

import filecmp
import os
import tempfile
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from pathlib import Path

from kinematics.inputs.reading.faults import Fault, InputFaultError
from reports.outputs.safe_write import make_folder, move_whole, refuse_existing

_CHANGED = "is there already, with other content; name another folder, move it away, or add --replace to write over it"
_MOST_NAMED = 3  # files, before the rest are counted


def refuse_changed(texts: Mapping[Path, str], targets: Sequence[Path], *, replace: bool) -> None:
    """Raise InputFaultError for what can be told before anything is solved.

    texts: files whose content is known, which must not be there with another; targets: all that is going to be written.
    """
    refuse_existing(targets, replace=True)  # folders in their places
    if not replace:
        there = {path: text.encode("utf-8") for path, text in texts.items() if path.exists()}
        _refuse([path for path, content in there.items() if path.read_bytes() != content])


@contextmanager
def staged(folder: Path, *, replace: bool) -> Iterator[Path]:
    """Give a place to write files into that then go to a folder, all or none of them.

    Those that stand there the same are left alone. Raises InputFaultError, and leaves the folder as it is, if some
    stand there with other content and may not be replaced.
    """
    make_folder(folder)
    with tempfile.TemporaryDirectory(prefix=".cornersweep.", suffix=".part", dir=folder) as place:
        yield Path(place)
        made = sorted(Path(place).iterdir())
        changed = [one for one in made if _differs(one, folder / one.name)]
        if not replace:
            _refuse([folder / one.name for one in changed])
        for one in made:
            if one in changed or not (folder / one.name).exists():
                move_whole(one, folder / one.name, replace=replace)


def _differs(made: Path, there: Path) -> bool:
    return os.path.lexists(there) and not filecmp.cmp(made, there, shallow=False)


def _refuse(changed: Sequence[Path]) -> None:
    if changed:
        faults = [Fault(str(path), _CHANGED) for path in changed[:_MOST_NAMED]]
        if len(changed) > _MOST_NAMED:
            faults.append(Fault("", f"{len(changed) - _MOST_NAMED} more of the files differ"))
        raise InputFaultError("nothing written", faults)
