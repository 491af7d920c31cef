"""A blank plan file: what `compare` may try on paper, ready to be read, the usual things there or commented out."""

from kinematics.car.lengths import LengthUnit

# Of each unit: ride height, ball joint and shim, a pivot's way, and the most that a class allows.
_AMOUNTS = {"mm": ("-10", "15", "3", "20"), "in": ('"-3/8"', '"5/8"', '"1/8"', '"3/4"')}


def blank_plan_file(unit: LengthUnit) -> str:
    """Return a plan file with two plans in it and more to choose from, lengths in a unit."""
    lower, joint, way, most = _AMOUNTS[unit.symbol]
    return f"""\
# Plans for `cornersweep compare`, tried on paper: change the amounts, take the # away from what you could do too.

units = "{unit.symbol}"

[[plan]]
name = "lower"
[[plan.change]]
what = "ride height"               # at the front; axle = "rear" for the other
by = {lower}

[[plan]]
name = "lower, on longer ball joints"
on_top_of = "lower"                # all of that plan, and what follows
[[plan.change]]
what = "longer ball joint"         # of the lower arm
by = {joint}
[[plan.change]]
what = "tie-rod shim"              # lowers the tie rod's outer end: against bump steer
by = {joint}

# [[plan]]
# name = "pivots up"
# why = "the club allows slotted holes"
# [[plan.change]]
# what = "inner pivots"            # what can be moved several ways says which: ahead, out or up
# up = {way}
# [[plan.change]]
# what = "point"                   # any measured point, named as in the car file
# point = "tie_rod_inner"
# side = "left"                    # one side alone
# up = {way}

# [[rule]]                         # class rules: kinds of change or points; what none names is free
# words = "Ball joints may be lengthened up to {most.strip('"')} {unit.symbol}."   # for you to read
# changes = "longer ball joint"
# at_most = {most}                 # how far; without this line every such change is forbidden
"""
