"""A survey of a strut axle in mm or inches; see `two_cars` for the letters. One tape reading is 40 mm off."""

SURVEY = """
name = "surveyed"
units = "UNIT"
[instruments]
tape = L(2.0)
rule = L(1.5)
plumb = L(1.5)
level = 0.2
[front]
suspension = "strut"
sides = "alike"
wheel = { camber = -2.2, toe_in = 0.05, camber_known_to = 0.1, toe_in_known_to = 0.03 }
readings = [
  { up = "wheel_centre", reads = L(297.5) },
  { up = "lower_ball_joint", reads = L(184) },
  { up = "lower_pivot_front", reads = L(150) },
  { up = "lower_pivot_rear", reads = L(153.5), known_to = L(4) },
  { up = "strut_top", reads = L(782.5) },
  { up = "strut_low", reads = L(419.5) },
  { up = "tie_rod_outer", reads = L(214.5) },
  { up = "tie_rod_inner", reads = L(177.5), known_to = L(4) },
  { out = "wheel_centre", reads = L(739.5) },
  { out = "lower_ball_joint", reads = L(691.5) },
  { out = "lower_pivot_front", reads = L(352) },
  { out = "strut_low", reads = L(626) },
  { out = "tie_rod_outer", reads = L(675) },
  { out = "strut_top", reads = L(561.5) },
  { ahead = "strut_top", reads = L(-26) },
  { ahead = "lower_ball_joint", reads = L(2.5) },
  { ahead = "lower_pivot_front", reads = L(116) },
  { ahead = "lower_pivot_rear", reads = L(-197.5) },
  { ahead = "strut_low", reads = L(3) },
  { ahead = "tie_rod_outer", reads = L(-128) },
  { tape = ["lower_ball_joint", "lower_pivot_front"], reads = L(361) },
  { tape = ["lower_ball_joint", "lower_pivot_rear"], reads = L(391.5) },
  { tape = ["lower_pivot_front", "lower_pivot_rear"], reads = L(314) },
  { tape = ["tie_rod_outer", "tie_rod_inner"], reads = L(352) },
  { tape = ["strut_top", "strut_low"], reads = L(363.5) },
  { tape = ["strut_top", "lower_ball_joint"], reads = L(651.5) },
  { tape = ["tie_rod_inner", "lower_pivot_front"], reads = L(247.5) },
  { tape = ["tie_rod_inner", "lower_pivot_rear"], reads = L(77.5) },
  { tape = ["tie_rod_outer", "lower_ball_joint"], reads = L(133.5) },
  { tape = ["tie_rod_outer", "strut_low"], reads = L(246.5) },
  { tape = ["lower_pivot_rear", "strut_low"], reads = L(431.5) },
  { tape = ["left strut_top", "right strut_top"], reads = L(1124.5) },
  { tape = ["left lower_pivot_front", "right lower_pivot_front"], reads = L(699) },
  { tape = ["left lower_pivot_rear", "right lower_pivot_rear"], reads = L(705.5) },
  { angle = ["lower_pivot_front", "lower_ball_joint"], reads = 5.8 },
  { angle = ["strut_low", "strut_top"], seen_from = "front", reads = 80.1 },
  { track = L(1503.5) },
]
"""
