"""The file that goes with a set-up sheet: what was measured after, to type in beside the numbers of the sheet."""

from tomlkit import item

from kinematics.setting.set_up import SetUp
from reports.sheet.set_up_names import list_of
from reports.words.set_up_numbers import number_words, unit_words, what_words

_HEAD = """\
# What was measured after a set-up, for cornersweep. Numbers are those of the set-up sheet.
# Fill in each "?"; take away the line of what you did not measure. Lengths may be written 13.625 or, as a tape shows
# them, "13 5/8"; toe, else in degrees, also as a length over the tyre's diameter with its unit, "0.5 mm". Any line
# may have known_to (two readings in three lie within it) and note = "...".

sheet = "{sheet}"   # which sheet this goes with: leave it
plan = {plan}
{cross}units = "{unit}"
car = {car}
date = ""
by = ""
note = ""

readings = [
"""


def set_up_file(planned: SetUp, cross: float | None) -> str:
    """Return the file of a set-up as TOML with comments; cross: the cross-weight asked for in per cent."""
    unit = planned.car.unit
    text = _HEAD.format(
        sheet=list_of(planned),
        plan=item(planned.plan.name).as_string(),
        cross="" if cross is None else f"cross = {cross:g}   # per cent, as asked for\n",
        unit=unit.symbol,
        car=item(planned.car.name).as_string(),
    )
    for one in planned.entries:
        planned_words = f"{number_words(one.planned, one.measure, unit)} {unit_words(one.measure, unit)}"
        text += f'  {{ no = {one.number}, reads = "?" }},   # {one.side} {what_words(one, planned)}: {planned_words}\n'
    return text + "]\n"
