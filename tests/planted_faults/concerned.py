"""Which tests concern a fault: by the longest beginning of its file's path; those likeliest to notice come first.

Few and cheap ones: a fault that they miss wants a test that sees it, not a longer list.
"""

from pathlib import Path

_OUT, _LINE, _UNIT = "tests/outputs/test_", "tests/command_line/test_", "tests/unit/test_"
_SWEEP, _FIGURES, _TERMINAL = f"{_OUT}sweep_tables.py", f"{_OUT}figures.py", f"{_OUT}terminal_tables.py"
_LEAN, _PLANS, _DOUBT = f"{_OUT}lean_and_shelf.py", f"{_OUT}compared_plans.py", f"{_OUT}doubt_tables.py"
_SURVEY, _STATUS, _FILES = f"{_OUT}survey_outputs.py", f"{_OUT}statuses.py", f"{_OUT}what_files_say.py"
_STATE = f"{_OUT}drawing_of_a_state.py"
_FIND, _INFLUENCE = "tests/finding/test_find_command.py", "tests/finding/test_influence.py"
_CUT, _TRAVEL = "tests/plans/test_cut_coils.py", "tests/plans/test_travel_budget.py"
_FOUND = f"{_OUT}found_and_influence.py"
_TRADE_OFF = "tests/finding/test_trade_off_figure.py"
_ENDS = "tests/robustness/test_ends_of_travel.py"
_MISTYPED = f"{_UNIT}mistyped.py"
_LIMITS, _ODD, _GAPS = f"{_UNIT}limits.py", f"{_UNIT}oddities.py", f"{_UNIT}gaps.py"
_SHOW, _SHEET = f"{_LINE}show.py", "tests/survey/test_measuring_sheet.py"
_SIDE, _LIVE = "tests/published/test_side_view_closed_forms.py", "tests/published/test_live_axles_closed_forms.py"
_PLANAR, _STEERED = "tests/published/test_planar_closed_forms.py", "tests/published/test_steering_closed_forms.py"
_ARMS = "tests/published/test_trailing_arms.py"
_GAUGE = "tests/garage/test_what_a_gauge_shows.py"


def _of(file: str, *tests: str) -> list[str]:
    """Some tests of a file."""
    return [f"{file}::test_{test}" for test in tests]


_TOLD = "tests/survey/test_slips_told.py"
_CULPRIT, _MISSING = "tests/survey/test_culprits.py", "tests/survey/test_missing.py"
_BLAMED = [
    *_of(_CULPRIT, "it_is_told_in_words", "an_inch_on_a_tape_in_inches", "mm_written_for_inches"),
    *_of(_CULPRIT, "an_angle_misread_by_five_degrees", "a_wrong_sign", "taken_at_another_point"),
    *_of(_CULPRIT, "what_no_single_reading_explains_is_laid_on_none", "what_the_others_make_of_a_reading"),
    *_of(_CULPRIT, "readings_that_check_only_each_other_are_both_told", "sound_surveys_raise_no_alarm"),
]
_DISAGREE = "what_came_of_readings_that_disagree_is_said_so_by_later_commands"
_NEXT, _ASKED_NEXT = "tests/survey/test_next_readings.py", f"{_LINE}survey_next.py"
_OPEN = [
    *_of(_MISSING, "hardly_determined_is_told_with_its_standard_deviation", "one_coordinate_left_out"),
    *_of(_MISSING, "a_mirror_image_that_fits_as_well_is_told", "the_reading_that_decides_decides"),
]

_BY_FIND = _of(_FOUND, "what_is_in_the_way", "rows_of_the_trade_off", "plans_in_the_terminal", "files_of_the_best_plan")

CONCERNED: dict[str, list[str]] = {
    "solvers": ["tests/published/test_planar_linkages_in_space.py", _PLANAR],
    "solvers/certificate.py": [f"{_UNIT}solvers_certificate.py"],
    "solvers/chebyshev.py": [f"{_UNIT}solvers_chebyshev.py", f"{_UNIT}solvers_path.py"],
    "solvers/elimination.py": [f"{_UNIT}solvers_elimination.py", f"{_UNIT}solvers_newton.py"],
    "solvers/equations.py": [f"{_UNIT}solvers_equations.py"],
    "solvers/leap.py": [f"{_UNIT}solvers_moving.py"],
    "solvers/least_squares.py": ["tests/published/test_least_squares.py", "tests/survey/test_fit.py"],
    "solvers/many_fits.py": [f"{_UNIT}solvers_many_fits.py"],
    "solvers/mechanism.py": [f"{_UNIT}solvers_mechanism.py", _STEERED],
    "solvers/positions.py": [f"{_UNIT}solvers_path.py"],
    "solvers/moving.py": [f"{_UNIT}solvers_moving.py", "tests/published/test_forty_assemblies.py"],
    "solvers/newton.py": [f"{_UNIT}solvers_newton.py", f"{_UNIT}solvers_moving.py"],
    "solvers/path.py": [f"{_UNIT}solvers_path.py", _PLANAR],
    "solvers/planar": [_PLANAR],
    "solvers/response_surface.py": ["tests/finding/test_brute_force.py"],
    "solvers/rotations.py": [f"{_UNIT}solvers_rotations.py"],
    "solvers/routes.py": [f"{_UNIT}solvers_moving.py", _LIVE],
    "solvers/spread.py": ["tests/published/test_spread.py"],
    "solvers/vectors.py": [f"{_UNIT}solvers_mechanism.py"],
    "solvers/tracing.py": [f"{_UNIT}solvers_path.py"],
    "solvers/tangents.py": ["tests/doubt/test_exact_tangents.py"],
    "kinematics/car": ["tests/properties/test_standing_on_ground.py", _FILES],
    "kinematics/car/limits.py": [_LIMITS, f"{_LINE}show.py"],
    "kinematics/car/units.py": [_FILES, _LEAN],
    "kinematics/motion": [_PLANAR, "tests/properties/test_standing_on_ground.py"],
    "kinematics/motion/linkage.py": ["tests/plans/test_changes_by_hand.py", _PLANAR],
    "kinematics/motion/live_axle.py": [_LIVE, "tests/properties/test_lengths_hold.py", _ENDS],
    "kinematics/motion/states.py": [
        _STEERED,
        "tests/published/test_planar_linkages_in_space.py",
        _SIDE,
        *_of("tests/properties/test_mirror.py", "car_with_its_sides_swapped"),
    ],
    "kinematics/numbers": [
        "tests/properties/test_instant_centres.py",
        "tests/properties/test_planar_agreement.py",
        _PLANAR,
        "tests/plans/test_trade_facts.py",
    ],
    "kinematics/numbers/outer_share.py": [f"{_UNIT}outer_share.py"],
    "kinematics/numbers/quantity.py": [*_of(_LEAN, "springs_at_ride_height"), _FILES],
    "kinematics/numbers/roll_centre.py": [
        "tests/published/test_roll_centre_of_planar_cars.py",
        "tests/properties/test_instant_centres.py",
        _SIDE,
    ],
    "kinematics/numbers/side_view.py": [
        _SIDE,
        _LIVE,
        "tests/properties/test_axle_steer_and_pinion.py",
        "tests/properties/test_roll_steer.py",
    ],
    "kinematics/numbers/steering.py": [_STEERED],
    "kinematics/numbers/wheels.py": ["tests/published/test_axis_on_the_ground.py", _PLANAR],
    "kinematics/numbers/wheel_angles.py": [
        "tests/published/test_axis_on_the_ground.py",
        _STEERED,
        "tests/published/test_planar_linkages_in_space.py",
    ],
    "kinematics/sweeps": [_SWEEP, "tests/properties/test_sweeps_agree.py"],
    "kinematics/sweeps/body.py": [_GAPS, _ENDS, _SWEEP, "tests/properties/test_sweeps_agree.py"],
    "kinematics/sweeps/roll_axis.py": [_SWEEP, "tests/published/test_pitched_roll_axis.py"],
    "kinematics/sweeps/rack.py": [_STEERED, _SWEEP],
    "kinematics/sweeps/finite.py": [_GAPS, *_of(_SWEEP, "each_column_is_its_number_in_its_unit")],
    "kinematics/judging/suspicious.py": [
        _ODD,
        _MISTYPED,
        *_of(f"{_LINE}survey.py", "what_came_of_readings_that_disagree_is_said_so_by_later_commands"),
    ],
    "kinematics/judging/mistyped.py": [_ODD, _MISTYPED],
    "kinematics/judging/usual_cars.py": [_ODD, _MISTYPED],
    "kinematics/judging": [_LIMITS, *_of(_STATUS, "limits_decide")],
    "kinematics/loads": ["tests/loads/test_published_loads.py", "tests/loads/test_trade_facts_of_lean.py", _LEAN],
    "kinematics/loads/virtual_work.py": [
        "tests/loads/test_balance_against_mujoco.py",
        "tests/loads/test_braking_and_driving.py",
    ],
    "kinematics/loads/working_states.py": ["tests/loads/test_working_states.py", f"{_LINE}range_in_balance.py"],
    "kinematics/loads/setup.py": [
        "tests/loads/test_springs_that_cannot_carry.py",
        "tests/loads/test_published_loads.py",
        "tests/loads/test_trade_facts_of_lean.py",
        _LEAN,
    ],
    "kinematics/loads/report.py": _of(_LEAN, "textbook_roll_by_hand", "lean_in_words"),
    "kinematics/loads/shelf.py": [_LEAN, "tests/loads/test_shelf.py"],
    "kinematics/loads/grip.py": ["tests/loads/test_grip.py", _LEAN],
    "kinematics/loads/movements.py": ["tests/loads/test_movements_against_engines.py"],
    "kinematics/loads/notes.py": _of(
        _LEAN, "scales_and_file_that_differ", "from_when_stops_are_touched", "a_coil_bound_spring"
    ),
    "kinematics/planning": ["tests/plans/test_changes_by_hand.py", _PLANS],
    "kinematics/planning/changes.py": [
        "tests/plans/test_plan_files.py",
        *_of(_STATUS, "points_shifted_on_one_side"),
        "tests/plans/test_changes_by_hand.py",
    ],
    "kinematics/planning/alignment.py": ["tests/plans/test_alignment.py"],
    "kinematics/planning/reach.py": ["tests/plans/test_refusals.py", "tests/plans/test_alignment.py"],
    "kinematics/planning/rules.py": [
        *_of(_STATUS, "a_plan_that_may_be_built_and_holds_all"),
        "tests/plans/test_refusals.py",
    ],
    "kinematics/planning/comparison.py": ["tests/plans/test_shares.py", _PLANS],
    "kinematics/planning/settling.py": ["tests/plans/test_settling.py", _CUT],
    "kinematics/car/coil_springs.py": [_CUT],
    "kinematics/planning/joint_turns.py": ["tests/plans/test_stops_and_joints.py", _TRAVEL],
    "kinematics/planning/travel_budget.py": [_TRAVEL],
    "kinematics/planning/travel_ends.py": [_TRAVEL, "tests/plans/test_bar_links.py"],
    "kinematics/planning/shelf_plans.py": [_TRAVEL],
    "kinematics/inputs/plans/cut_coils.py": [_CUT],
    "kinematics/inputs/car/bar_entries.py": ["tests/plans/test_bar_links.py", "tests/bad_input/test_faulty_loads.py"],
    "kinematics/inputs/car/spring_entries.py": [_CUT, "tests/bad_input/test_faulty_loads.py"],
    "kinematics/inputs/car/damper_entries.py": [_TRAVEL],
    "kinematics/planning/stops.py": ["tests/plans/test_stops_and_joints.py", _PLANS],
    "kinematics/doubt": ["tests/doubt/test_first_order_closed_forms.py", _DOUBT, _TERMINAL],
    "kinematics/doubt/agreement.py": ["tests/doubt/test_agreement.py"],
    "kinematics/doubt/differences.py": ["tests/doubt/test_differences.py", _PLANS],
    "kinematics/doubt/first_order_chance.py": [_SHOW],
    "kinematics/finding": [_FIND, "tests/finding/test_planted_answers.py"],
    "kinematics/finding/checks.py": ["tests/finding/test_bounds.py", _FIND, "tests/finding/test_planted_answers.py"],
    "kinematics/finding/variants.py": [
        "tests/finding/test_one_body.py",
        _FIND,
        "tests/finding/test_planted_answers.py",
    ],
    "kinematics/finding/permitted.py": [
        _FIND,
        *_of("tests/finding/test_springs_and_bars.py", "a_rule_takes_springs_away"),
    ],
    "kinematics/finding/found_plans.py": ["tests/finding/test_windows.py", *_BY_FIND],
    "kinematics/finding/means.py": ["tests/finding/test_means_files.py", *_BY_FIND],
    "kinematics/finding/influence.py": [*_of(_FOUND, "influence_in_the_terminal"), _INFLUENCE],
    "kinematics/finding/chances.py": ["tests/finding/test_chances_of_plans.py"],
    "kinematics/finding/likely.py": ["tests/finding/test_chances_of_plans.py"],
    "kinematics/finding/ranking.py": ["tests/finding/test_chances_of_plans.py"],
    "kinematics/finding/spring_checks.py": ["tests/finding/test_springs_have_room.py"],
    "kinematics/survey": ["tests/survey/test_fit.py", _SURVEY],
    "kinematics/survey/culprits.py": _BLAMED,
    "kinematics/survey/slips.py": [*_BLAMED, _CULPRIT, _TOLD],
    "kinematics/survey/hypotheses.py": _BLAMED,
    "kinematics/survey/sets_of_slips.py": [*_BLAMED, _TOLD],
    "kinematics/survey/reliability.py": ["tests/survey/test_reliability.py"],
    "kinematics/survey/expected_doubt.py": [_NEXT],
    "kinematics/survey/further_readings.py": [_NEXT, _ASKED_NEXT],
    "kinematics/survey/gauge_curves.py": [_NEXT, _ASKED_NEXT],
    "kinematics/survey/next_readings.py": [_NEXT, _ASKED_NEXT],
    "kinematics/survey/shortest_list.py": [_NEXT],
    "kinematics/survey/typical_survey.py": [_ASKED_NEXT],
    "kinematics/survey/curve_fit.py": ["tests/survey/test_curves.py"],
    "kinematics/survey/curve_misfit.py": ["tests/survey/test_curves.py", "tests/survey/test_curves_disproved.py"],
    "kinematics/survey/curve_slips.py": ["tests/survey/test_curves.py", "tests/survey/test_curves_disproved.py"],
    "kinematics/survey/curves_aside.py": ["tests/survey/test_curves_disproved.py"],
    "kinematics/survey/joint_fit.py": ["tests/survey/test_curves.py"],
    "kinematics/survey/snooping.py": [*_BLAMED, _SURVEY],
    "kinematics/survey/missing.py": [_MISSING],
    "kinematics/survey/judged.py": [f"{_LINE}survey_first_screen.py", _SURVEY, "tests/survey/test_missing.py"],
    "kinematics/survey/sheet_numbers.py": ["tests/survey/test_given_back.py"],
    "kinematics/survey/dispensable.py": [_NEXT, _ASKED_NEXT],
    "kinematics/doubt/amounts.py": ["tests/doubt/test_amounts.py"],
    "kinematics/survey/second_places.py": _OPEN,
    "kinematics/setting": ["tests/garage/test_perches.py", "tests/garage/test_set_up_sheet.py"],
    "kinematics/setting/bump_steer.py": [_GAUGE],
    "kinematics/doubt/solved_car.py": [_SHOW, _LIMITS],
    "kinematics/setting/look_again.py": ["tests/garage/test_look_again.py"],
    "kinematics/setting/came_out.py": ["tests/garage/test_look_again.py", "tests/garage/test_set_up_sheet.py"],
    "kinematics/setting/perches.py": ["tests/garage/test_perches.py"],
    "kinematics/weighing": ["tests/garage/test_weighing.py", "tests/garage/test_weigh_command.py"],
    "kinematics/record": ["tests/garage/test_record.py"],
    "kinematics/inputs/garage": [
        "tests/garage/test_weigh_command.py",
        "tests/garage/test_setup_refusals.py",
        "tests/garage/test_record_command.py",
    ],
    "kinematics/inputs/garage/set_up_readings.py": [
        "tests/garage/test_set_up_sheet.py",
        "tests/garage/test_setup_refusals.py",
    ],
    "kinematics/inputs/car/adjuster_entries.py": [_FILES, "tests/garage/test_threads.py"],
    "kinematics/inputs": [_FILES, f"{_UNIT}car_file.py"],
    "kinematics/inputs/car/car_file.py": [_FILES, f"{_UNIT}car_file.py", _LIMITS],
    "kinematics/inputs/car/car_text.py": [_SURVEY, "tests/survey/test_survey_file.py", _FIND],
    "kinematics/inputs/car/fittings_file.py": [_FILES],
    "kinematics/inputs/car/loads_file.py": [_FILES, _LEAN],
    "kinematics/inputs/car/parts_known_to.py": ["tests/loads/test_lean_doubt.py"],
    "kinematics/car/parts_known.py": ["tests/loads/test_lean_doubt.py"],
    "kinematics/doubt/axle_doubt.py": ["tests/doubt/test_parts_in_chances.py"],
    "kinematics/doubt/lean_doubt.py": ["tests/loads/test_lean_doubt.py"],
    "kinematics/car/feet_and_inches.py": ["tests/survey/test_inch_marks.py", f"{_UNIT}handwriting.py"],
    "kinematics/inputs/plans/plan_file.py": [f"{_LINE}change_words.py", "tests/plans/test_plan_files.py", _PLANS],
    "kinematics/car/decimal_commas.py": [f"{_LINE}change_words.py", f"{_UNIT}lengths.py"],
    "kinematics/inputs/reading/file_kinds.py": ["tests/bad_input/test_kinds_of_file.py"],
    "kinematics/inputs/reading/toml_slips.py": ["tests/bad_input/test_toml_slips.py"],
    "kinematics/inputs/plans": ["tests/plans/test_plan_files.py", _PLANS],
    "kinematics/inputs/plans/changed_car.py": _of(_FOUND, "what_is_left_of_the_adjusters"),
    "kinematics/inputs/plans/means_file.py": ["tests/finding/test_means_files.py"],
    "kinematics/inputs/plans/plan_text.py": ["tests/plans/test_plan_files.py"],
    "kinematics/inputs/plans/shelf_file.py": [_LEAN],
    "kinematics/inputs/plans/spring_and_bar_choices.py": [_LEAN, "tests/finding/test_means_files.py"],
    "kinematics/inputs/reading/faults.py": ["tests/survey/test_inch_marks.py"],
    "kinematics/inputs/reading": [
        "tests/bad_input/test_files_that_are_no_text.py",
        "tests/bad_input/test_faulty_cars.py",
    ],
    "kinematics/inputs/survey/blank_survey.py": [_ASKED_NEXT],
    "kinematics/inputs/survey": [_SURVEY, "tests/survey/test_survey_file.py"],
    "kinematics/inputs/tables/doubt_file.py": [
        "tests/doubt/test_doubt_files.py",
        *_of(f"{_LINE}survey.py", "what_came_of_readings_that_disagree_is_said_so_by_later_commands"),
    ],
    "kinematics/inputs/tables": [f"{_LINE}import.py"],
    "reports/tables/terminal.py": [
        _LIMITS,
        *_of(_TERMINAL, "each_check_is_marked", "numbers_at_ride_height_with_their_doubt"),
    ],
    "reports/tables/doubt_table.py": [
        *_of(_TERMINAL, "cars_in_which_a_number_is_lost", "states_where_first_order_does_not_hold"),
        *_of(_TERMINAL, "what_counts_as_exact", "what_to_measure_again", "chances_and_what_each_limit_allows"),
        *_of(_TERMINAL, "doubt_and_drawn_intervals"),
    ],
    "reports/tables/compare_table.py": [
        *_of(_STATUS, "a_plan_that_may_be_built_and_holds_all"),
        *_of(_PLANS, "how_each_plan_fares", "what_a_plan_changes", "what_each_change_adds"),
    ],
    "reports/tables/plan_doubt_table.py": _of(_PLANS, "a_plan_that_fits_in_some_cars_only", "how_sure_in_the_terminal"),
    "reports/tables/lean_table.py": _of(_LEAN, "springs_at_ride_height", "load_moved_at_one_g"),
    "reports/tables/shelf_table.py": _of(_LEAN, "shelf_in_the_terminal"),
    "reports/tables/next_readings_table.py": [_ASKED_NEXT],
    "reports/tables/survey_table.py": [_SURVEY, f"{_LINE}survey.py"],
    "reports/tables/find_table.py": [*_BY_FIND, _FIND],
    "reports/tables/influence_table.py": [
        *_of(_FOUND, "influence_in_the_file", "influence_in_the_terminal", "influence_in_the_chart")
    ],
    "reports/tables/travel_table.py": [f"{_LINE}travel.py"],
    "reports/outputs/travel_files.py": [f"{_LINE}travel.py"],
    "reports/figures/travel_bars.py": [f"{_LINE}travel.py"],
    "reports/words/travel.py": [f"{_LINE}travel.py"],
    "reports/tables/decisive.py": _of(_STATUS, "a_screen_of_checks"),
    "reports/outputs/sweep_files.py": [
        *_of(_FIGURES, "one_wheel_alone_is_named", "a_raised_body_is_named_in_roll", "bands_to_first_order"),
        *_of(_FIGURES, "path_of_the_roll_centre", "roll_axis_curves", "side_view_of_the_car"),
    ],
    "reports/outputs/csv_files.py": [f"{_UNIT}csv_files.py"],
    "reports/outputs/compare_files.py": _of(_PLANS, "a_figure_says_how_many_plans_it_shows", "numbers_in_the_file")
    + _of(_FIGURES, "curves_of_plans"),
    "reports/outputs/doubt_files.py": [_DOUBT],
    "reports/outputs/find_files.py": [*_BY_FIND, _FIND],
    "reports/outputs/influence_files.py": [
        *_of(_FOUND, "influence_in_the_file", "influence_in_the_terminal", "influence_in_the_chart")
    ],
    "reports/outputs/lean_files.py": [*_of(_LEAN, "columns"), f"{_LINE}lean.py"],
    "reports/outputs/shelf_files.py": _of(_LEAN, "shelf_file"),
    "reports/outputs/plan_doubt_files.py": _of(_PLANS, "how_sure_in_the_file"),
    "reports/tables/compare_decisive.py": ["tests/command_line/test_first_screens.py"],
    "reports/tables/doubt_decisive.py": ["tests/command_line/test_first_screens.py"],
    "reports/documents/plans.py": [f"{_LINE}change_words.py", f"{_OUT}documents.py"],
    "reports/words/compared.py": [f"{_LINE}best_plans.py", f"{_LINE}first_screens.py", _STATUS],
    "reports/words/doubted.py": [f"{_LINE}first_screens.py", *_of(f"{_LINE}survey.py", _DISAGREE)],
    "reports/words/headline.py": [_SHOW, *_of(f"{_LINE}survey.py", _DISAGREE)],
    "reports/words/set_up_heights.py": [
        f"tests/garage/test_{one}.py" for one in ("each_side_its_height", "set_up_sheet")
    ],
    "reports/page/box_words.py": ["tests/page/test_words_beside_boxes.py"],
    "reports/sheet/set_up_sheet.py": ["tests/garage/test_set_up_sheet.py", *_of(f"{_LINE}survey.py", _DISAGREE)],
    "reports/words/story.py": ["tests/command_line/test_demo_story.py"],
    "reports/commands/write_car.py": ["tests/command_line/test_write_car.py"],
    "reports/outputs/survey_files.py": [_SURVEY],
    "reports/figures": _of(_FIGURES, "wheels_curves", "roll_centre_in_all_ways", "bands_to_first_order"),
    "reports/figures/curves.py": _of(_FIGURES, "stops_stand_on_their_side", "what_limits_allow_is_shaded"),
    "reports/figures/driver_axis.py": _of(_FIGURES, "what_limits_allow_is_shaded", "wheels_curves"),
    "reports/figures/panels.py": _of(_FIGURES, "panels_of_their_number"),
    "reports/figures/position_table.py": _of(
        _STATE, "drawing_of_a_state", "what_is_allowed_stands_under_the_height_that_counts"
    ),
    "reports/figures/style.py": [
        *_of(_STATE, "drawing_of_a_state", "what_is_allowed_stands_under_the_height_that_counts"),
        *_of(_FIGURES, "what_limits_allow_is_shaded"),
    ],
    "reports/figures/roll_axis_curves.py": _of(_FIGURES, "roll_axis_curves"),
    "reports/figures/side_view.py": _of(_FIGURES, "side_view_of_the_car"),
    "reports/figures/share_chart.py": _of(_FIGURES, "shares_of_doubt"),
    "reports/figures/lean_curves.py": _of(_LEAN, "figure_of_lean", "figure_of_rates"),
    "reports/figures/roll_centre_path.py": _of(_FIGURES, "path_of_the_roll_centre"),
    "reports/figures/influence_chart.py": [
        *_of(_FOUND, "influence_in_the_file", "influence_in_the_terminal", "influence_in_the_chart")
    ],
    "reports/figures/trade_off.py": [_TRADE_OFF],
    "reports/words/finding.py": [*_BY_FIND, _FIND],
    "reports/words/influence.py": [
        *_of(_FOUND, "influence_in_the_file", "influence_in_the_terminal", "influence_in_the_chart"),
        *_of(_FIND, "what_a_class_rule_forbids_is_marked_and_not_advised"),
    ],
    "reports/words/lean.py": [
        *_of(_LEAN, "scales_and_file_that_differ", "from_when_stops_are_touched", "lean_in_words"),
        *_of(_LEAN, "where_no_wheel_lifts", "shelf_in_the_terminal"),
    ],
    "reports/words/gaps.py": [_GAPS],
    "reports/words/numbers.py": [
        "tests/unit/test_amounts.py",
        *_of(_LEAN, "what_is_nowhere_is_told_by_its_kind"),
        _LIMITS,
        *_of(_TERMINAL, "numbers_at_ride_height_with_their_doubt"),
        *_of(_LEAN, "notes_of_lean"),
    ],
    "reports/words/outer_share.py": _of(_FIGURES, "roll_centre_in_all_ways"),
    "reports/words/plans.py": [
        *_of(_PLANS, "adjusters_that_go_unlike_on_both_sides", "how_each_plan_fares", "what_a_plan_changes"),
        "tests/plans/test_refusals.py",
        *_of(_STATUS, "a_plan_of_one_side", "a_plan_that_may_be_built_and_holds_all"),
        *_of(_STATUS, "a_plan_that_leaves_too_little_travel", "how_much_of_a_change_fits"),
        *_of(_STATUS, "change_in_ways_and_of_the_rear_axle"),
        *_of(_PLANS, "what_each_change_adds"),
    ],
    "reports/words/next_readings.py": [_ASKED_NEXT],
    "reports/commands/next_readings.py": [_ASKED_NEXT],
    "reports/words/reading_list.py": [
        *_of(_SURVEY, "wheel_angles_on_the_sheet_have_their_names"),
        *_of(_SHEET, "every_type_on_paper", "what_is_left_blank_is_told"),
    ],
    "reports/words/roll_axis.py": _of(_TERMINAL, "roll_axis_in_words"),
    "reports/words/side_view.py": _of(_TERMINAL, "side_view_terms"),
    "reports/words/survey_headline.py": [f"{_LINE}survey_first_screen.py"],
    "reports/words/readings.py": ["tests/survey/test_given_back.py"],
    "reports/words/survey.py": [
        *_of(_SURVEY, "both_places_and_what_decides", "the_blunder_is_named_and_sized"),
        *_of(f"{_LINE}survey.py", "how_likely_such_a_scatter_is"),
        *_of(f"{_LINE}survey_first_screen.py", "a_slip_of_three_readings_is_told_with_all_three"),
        *_BLAMED,
        *_OPEN,
    ],
    "reports/words/suspicious.py": [_ODD, _MISTYPED],
    "reports/words/both_sides.py": ["tests/plans/test_refusals.py", _ODD],
    "reports/words/verdict.py": [_LIMITS, *_of(_TERMINAL, "chances_and_what_each_limit_allows")],
    "reports/commands/car_and_limits.py": _of(_STATUS, "limits_decide"),
    "reports/commands/compare.py": _of(
        _STATUS, "a_plan_that_may_be_built_and_holds_all", "a_plan_that_leaves_too_little_travel"
    ),
    "reports/commands/doubt.py": [
        *_of(_DOUBT, "intervals"),
        *_of(_STATUS, "limits_decide"),
        *_of(_PLANS, "how_sure_in_the_file"),
    ],
    "reports/commands/draw.py": [f"{_LINE}draw.py", *_of(_STATE, "drawing_of_a_state")],
    "reports/commands/find.py": [*_BY_FIND, _FIND],
    "reports/commands/import_points.py": [f"{_LINE}import.py"],
    "reports/commands/lean.py": [*_of(_LEAN, "lean_in_words"), *_of(_STATUS, "a_shelf_that_holds_what_is_wanted")],
    "reports/commands/new.py": [f"{_LINE}new.py"],
    "reports/commands/survey.py": [
        *_of(_STATUS, "a_survey_that_agrees"),
        *_of(_SURVEY, "the_blunder_is_named_and_sized"),
        f"{_LINE}survey.py",
    ],
    "reports/commands/sweep.py": [
        *_of(_STATUS, "limits_decide", "a_sweep_ends_as_the_verdict_says", "a_sweep_that_is_told_nothing"),
        f"{_LINE}sweep.py",
        _SWEEP,
    ],
    "reports/sheet/measuring_sheet.py": [*_of(_SURVEY, "units_on_the_sheet"), *_of(_SHEET, "every_type_on_paper")],
    "reports/sheet/paper.py": _of(_SHEET, "paper_goes_with_the_unit_unless_it_is_said"),
    "reports/sheet/set_up": ["tests/garage/test_set_up_sheet.py", "tests/garage/test_setup_refusals.py"],
    "reports/words/set_up": ["tests/garage/test_set_up_sheet.py", _GAUGE],
    "reports/words/fitted_parts.py": ["tests/garage/test_set_up_sheet.py", "tests/garage/test_fitted_parts.py"],
    "reports/words/came_out.py": [
        *(f"tests/garage/test_{name}.py" for name in ("set_up_sheet", "setup_refusals", "look_again")),
    ],
    "reports/words/weighed.py": ["tests/garage/test_weigh_command.py"],
    "reports/words/record.py": ["tests/garage/test_record_command.py"],
    "reports/tables/record_table.py": ["tests/garage/test_record_command.py"],
    "reports/outputs/record_files.py": ["tests/garage/test_record_command.py"],
    "reports/figures/timeline.py": ["tests/garage/test_record_command.py"],
    "reports/commands/setup.py": ["tests/garage/test_setup_refusals.py"],
    "reports/commands/weigh.py": ["tests/garage/test_weigh_command.py"],
    "reports/commands/record.py": ["tests/garage/test_record_command.py"],
    "reports/sheet": _of(_SHEET, "what_is_filled_in_comes_back", "what_is_left_blank_is_told", "every_type_on_paper"),
    "reports": [_STATUS],
}


def concerned(path: str) -> list[str]:
    """Tests for a fault in this file."""
    (longest,) = sorted((begin for begin in CONCERNED if path.startswith(begin)), key=len)[-1:]
    return CONCERNED[longest]


def not_there(root: Path) -> list[str]:
    """Named tests that are nowhere: asked for, they would seem to fail by every fault."""
    named = {test for tests in CONCERNED.values() for test in tests}
    return sorted(test for test in named if not _is_there(root, *test.split("::")))


def _is_there(root: Path, file: str, test: str = "") -> bool:
    path = root / file
    return path.is_file() and (not test or f"\ndef {test}(" in path.read_text(encoding="utf-8"))
