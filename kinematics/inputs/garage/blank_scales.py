"""A scales file to fill in."""

from kinematics.car.lengths import LengthUnit
from kinematics.car.units import Units
from kinematics.inputs.garage.scales_file import TRACK_HOW


def blank_scales_file(unit: LengthUnit) -> str:
    """Return a scales file with a place for every pad, lengths in a unit."""
    in_mm = unit.symbol == "mm"
    pad, tape, lift, block = ("0.5", "3", "2", "400") if in_mm else ("1", '"1/8"', '"1/16"', "16")
    mass = Units(unit).mass_symbol
    return f"""\
# A car on four scales, for cornersweep. Fill in each "?"; lengths may be written 13.625 or, as a tape shows them,
# "13 5/8". Pads level to one another and set to zero, tyres at pressure, brakes off, the car rolled onto the pads and
# settled. A drop link of each anti-roll bar unhooked, unless its force is to be weighed too.
# CAUTION: never go under a car that only a jack holds. A raised car can roll off its blocks: chock its wheels.

units = "{unit.symbol}"
name = "my car"
aboard = "driver, half a tank"     # in your own words: what was in the car
known_to = {pad}                     # of each pad [{mass}]: two readings in three lie within it

# Lengths: leave out what the car file tells that you name beside this file.
wheelbase = "?"
front_track = "?"                  # {TRACK_HOW}
rear_track = "?"
lengths_known_to = {tape}

[level]                            # all four level [{mass}]
front_left = "?"
front_right = "?"
rear_left = "?"
rear_right = "?"
# total = "?"                      # the whole car, if another scale showed it: a check

# For the height of the centre of gravity: block all springs so that the body cannot move on them, lift one axle onto
# blocks, as high as is safe, and read the pads under the wheels that stayed down. The higher, the surer.
# front_radius and rear_radius, from the floor to the wheel centre, stand above [level] if the car file is not named.
# [raised]
# end = "rear"                     # which end stands on blocks
# by = {block}                         # how much higher its wheels stand
# known_to = {lift}
# front_left = "?"                 # with the rear raised the front pads; the others too, if they are read: a check
# front_right = "?"

# What is aboard when racing and was not on the scales; taken out again: a negative mass.
# [[add]]
# what = "driver"
# mass = "?"
# ahead = "?"                      # of the front wheel centres, negative behind
# out = "?"                        # to the left of the middle, negative to the right
# up = "?"
"""
