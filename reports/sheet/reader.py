"""What was filled in on a measuring sheet, read back from its PDF."""

import io
import logging
from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

from pypdf import PdfReader
from pypdf.errors import FileNotDecryptedError

from kinematics.car.lengths import LengthUnit
from kinematics.car.suspension_type import SuspensionType
from kinematics.inputs.reading.sizes import MOST_BYTES_SHEET
from kinematics.inputs.reading.whole_file import whole_bytes, whole_file_fault
from reports.sheet.names import BY, CAR, DATE, DOUBT, REMARKS, blanks_of, read_keywords

_BEGINS = b"%PDF-"
_BEGINS_WITHIN = 1024  # bytes, as viewers allow


@dataclass(frozen=True)
class FilledSheet:
    """Which sheet it is, and what stands in its blanks, as written.

    values, doubts, remarks: by the number of the entry; blanks left empty are not there.
    """

    kind: SuspensionType
    unit: LengthUnit
    axle: str
    car: str
    date: str
    by: str
    values: Mapping[int, str]
    doubts: Mapping[int, str]
    remarks: Mapping[int, str]


def read_sheet(path: Path) -> FilledSheet:
    """Read a filled-in sheet; InputFaultError says why it cannot be read."""
    keywords, blanks = read_blanks(path)
    known = read_keywords(keywords)
    if known is None:
        raise whole_file_fault(path, "this PDF is no measuring sheet; `cornersweep sheet` writes one to fill in")
    kind, unit, axle, same_list = known
    if not same_list:
        text = "this sheet was made by another version, whose numbers mean other readings; copy them to a new sheet"
        raise whole_file_fault(path, text)
    gone = [name for name in blanks_of(kind) if name not in blanks]
    if gone:
        some = (
            f"{len(gone)} of its blanks are gone" if blanks else "its blanks are gone, as after printing into a new PDF"
        )
        raise whole_file_fault(path, f"{some}; save it in the viewer instead")
    filled = {name: text for name, text in blanks.items() if text}
    if not filled:
        raise whole_file_fault(path, "nothing is filled in; was it saved after it was filled in?")
    return FilledSheet(
        kind,
        unit,
        axle,
        filled.get(CAR, ""),
        filled.get(DATE, ""),
        filled.get(BY, ""),
        _numbered(filled, ""),
        _numbered(filled, DOUBT),
        _numbered(filled, REMARKS),
    )


def read_blanks(path: Path) -> tuple[str, dict[str, str]]:
    """A document's keywords, and what stands in each of its blanks; InputFaultError says why it cannot be read."""
    content = whole_bytes(path, MOST_BYTES_SHEET)
    if _BEGINS not in content[:_BEGINS_WITHIN]:
        raise whole_file_fault(path, "this is no PDF")
    # What the library finds odd but can read would go to standard error, which is for faults.
    logging.getLogger("pypdf").setLevel(logging.CRITICAL)
    try:
        reader = PdfReader(io.BytesIO(content))
        if reader.is_encrypted:
            raise FileNotDecryptedError
        keywords = "" if reader.metadata is None else reader.metadata.get("/Keywords", "")
        blanks = {name: field.get("/V") for name, field in (reader.get_fields() or {}).items()}
        return str(keywords), {name: _text(value) for name, value in blanks.items()}
    except FileNotDecryptedError:
        raise whole_file_fault(path, "the PDF is locked with a password; save it without one") from None
    except Exception as error:
        # A damaged file makes the library fail in any way at all.
        raise whole_file_fault(
            path, f"the PDF is damaged ({type(error).__name__}); save it again in the viewer"
        ) from None


def _text(value: object) -> str:
    if isinstance(value, bytes):
        value = value.decode("latin-1")
    return value.strip() if isinstance(value, str) else ""


def _numbered(filled: Mapping[str, str], after: str) -> dict[int, str]:
    found = {}
    for name, text in filled.items():
        number = name.removesuffix(after) if name.endswith(after) else ""
        if number.isascii() and number.isdigit():
            found[int(number)] = text
    return found
