"""Which kind of thing each reported number is, by hand from the glossary: the titles' units follow."""

OF_SWEEPS = {
    "length": "heave roll_centre_height roll_centre_offset textbook_roll_centre_height textbook_roll_centre_offset "
    "force_weighted_height travel wheel_centre_x wheel_centre_y wheel_centre_z contact_x contact_y contact_z "
    "half_track_change scrub_radius mechanical_trail instant_centre_y instant_centre_z swing_arm_length "
    "side_view_centre_x side_view_centre_z side_view_swing_arm wheel_centre_recession rack_travel tie_rod_lever "
    "turn_radius axle_offset",
    "angle": "roll pitch camber camber_to_body toe caster caster_to_body kingpin_inclination "
    "kingpin_inclination_to_body lower_arm_angle cross_camber cross_caster "
    "caster_change side_view_turn steer_angle pinion_angle_change axle_steer",
    "angle per length": "camber_gain bump_steer",
    "ratio": "jacking_coefficient roll_steer",
    "part": "anti_dive anti_lift anti_squat ackermann",
}
KIND = {key: kind for kind, keys in OF_SWEEPS.items() for key in keys.split()}
OF_ROLL_AXIS = {
    "heave": "length",
    "roll": "angle",
    "front_roll_centre_height": "length",
    "rear_roll_centre_height": "length",
    "roll_axis_inclination": "angle",
    "roll_axis_under_centre_of_gravity": "length",
    "front_force_weighted_height": "length",
    "rear_force_weighted_height": "length",
    "force_weighted_axis_inclination": "angle",
    "force_weighted_axis_under_centre_of_gravity": "length",
}
# Titles in tables and figures
KEY = {
    "roll-centre height": "roll_centre_height",
    "textbook roll-centre height": "textbook_roll_centre_height",
    "roll-centre offset": "roll_centre_offset",
    "camber": "camber",
    "toe": "toe",
    "caster": "caster",
    "kingpin inclination": "kingpin_inclination",
    "scrub radius": "scrub_radius",
    "mechanical trail": "mechanical_trail",
    "camber gain": "camber_gain",
    "bump steer": "bump_steer",
    "front-view swing-arm length": "swing_arm_length",
    "lower-arm angle": "lower_arm_angle",
    "jacking coefficient": "jacking_coefficient",
    "cross-camber": "cross_camber",
    "cross-caster": "cross_caster",
    "roll steer": "roll_steer",
    "anti-dive": "anti_dive",
    "anti-lift": "anti_lift",
    "anti-squat": "anti_squat",
    "axle offset": "axle_offset",
}
OF_PLANS = {
    "its change per travel": "ratio",
    "centre-of-gravity height": "length",
    "centre of gravity over roll centre": "length",
    "pinion angle, nose up": "angle",
    "wheels moved back": "length",
    "toe change, working travel": "angle",
    "track": "length",
    "travel to bump stop": "length",
    "travel to droop stop": "length",
    "corner raised since measured": "length",
    "packing that keeps this ride height": "length",
    "body raised if the springs are left alone": "length",
    "caster": "angle",
    "mechanical trail": "length",
    "wheel load at rest": "force",
    "lean at rest, not in the other numbers": "angle",
    "spring travel per wheel travel": "ratio",
    "wheel rate": "rate",
    "ride frequency, Hz": "ratio",
    "simple tyres hold, as loaded at 0.8 g, g": "ratio",
    "roll gradient of the car, deg/g": "ratio",
    "front share of the load moved": "part",
    "lowest joint over ground": "length",
} | {title: KIND[key] for title, key in KEY.items()}
