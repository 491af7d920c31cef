"""A blank means file: what may be done to a car, ready to be read, the most usual things there or commented out."""

from kinematics.car.lengths import LengthUnit

# Of each unit: ride height from, to and step; sizes of a ball joint; shims from, to, in steps.
_AMOUNTS = {
    "mm": ("-20", "15", "1", "[10, 15, 20]", "-10", "20", "1"),
    "in": ('"-3/4"', '"5/8"', '"1/16"', '["3/8", "1/2", "3/4"]', '"-3/8"', '"3/4"', '"1/16"'),
}
_SPRINGS = {"mm": ("45", "N/mm"), "in": ("250", "lb/in")}


def blank_means_file(unit: LengthUnit) -> str:
    """Return a means file with the ride height in it and more to choose from, lengths in a unit."""
    low, high, step, sizes, fewer, shims, thick = _AMOUNTS[unit.symbol]
    rate, rates = _SPRINGS[unit.symbol]
    most = f"{shims.strip(chr(34))} {unit.symbol}"
    return f"""\
# What may be done to a car, for `cornersweep find`: change the amounts, take the # away from what you could do too.

units = "{unit.symbol}"
want = "fewest parts"              # or "least change", "price", "lowest" (ride height)
# most_parts = 3                   # things changed at most
# chance = 0.9                     # asked of all limits, where the car file says how well it was measured

[[may]]
what = "ride height"               # at the front; axle = "rear" for the other
from = {low}
to = {high}
step = {step}

# [[may]]
# what = "longer ball joint"       # of a lower arm
# sizes = {sizes}
# price = 100                      # one for all, or one for each; in any money
# hours = 2

# [[may]]
# what = "tie-rod shim"
# from = {fewer}
# to = {shims}
# step = {thick}

# [[may]]
# what = "strut top"
# way = "out"                      # what can be moved several ways says which: "ahead", "out" or "up"
# from = {low}
# to = 0
# step = {step}

# [[front_spring]]                 # a pair that lies there; [[rear_spring]], [[front_bar]], [[rear_bar]] too
# name = "{rate} {rates}"
# rate = {rate}
# price = 150

# [lean]                           # how the car is to lean with them; it takes springs and weights in the car file
# roll_gradient = {{ from = 1.6, to = 2.6 }}   # degrees per g
# front_share = {{ from = 0.50, to = 0.60 }}   # the front axle's part of the load moved

# [[rule]]                         # class rules: kinds of change or points; what none names is free
# words = "Ball joints may be lengthened up to {most}."   # for you to read; only the lines below count
# changes = "longer ball joint"
# at_most = {shims}                # how far; without this line every such change is forbidden
"""
