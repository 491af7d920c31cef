"""Which tests concern a fault: by the longest beginning of its file's path; those likeliest to notice come first."""

_OUT = "tests/outputs/test_"
_SWEEP, _FIGURES, _TERMINAL = f"{_OUT}sweep_tables.py", f"{_OUT}figures.py", f"{_OUT}terminal_tables.py"
_LEAN, _PLANS, _DOUBT = f"{_OUT}lean_and_shelf.py", f"{_OUT}compared_plans.py", f"{_OUT}doubt_tables.py"
_SURVEY, _STATUS, _FILES = f"{_OUT}survey_outputs.py", f"{_OUT}statuses.py", f"{_OUT}what_files_say.py"

CONCERNED: dict[str, list[str]] = {
    "solvers": ["tests/unit", "tests/published", "tests/properties"],
    "kinematics/car": [_FILES, "tests/unit", _SWEEP],
    "kinematics/motion": ["tests/published", "tests/properties", "tests/unit"],
    "kinematics/numbers": ["tests/published", "tests/properties", "tests/unit", _SWEEP],
    "kinematics/sweeps": [_SWEEP, "tests/unit", "tests/properties", "tests/command_line"],
    "kinematics/loads": ["tests/loads", _LEAN],
    "kinematics/judging": ["tests/unit", _STATUS],
    "kinematics/planning": [_PLANS, "tests/plans"],
    "kinematics/doubt": ["tests/doubt", _TERMINAL, _DOUBT],
    "kinematics/survey": ["tests/survey", _SURVEY],
    "kinematics/inputs": [_FILES, "tests/command_line", "tests/bad_input", "tests/plans/test_plan_files.py"],
    "reports/tables/terminal.py": [_TERMINAL],
    "reports/tables/doubt_table.py": [_TERMINAL, "tests/command_line/test_doubt.py"],
    "reports/tables/compare_table.py": [_PLANS],
    "reports/tables/plan_doubt_table.py": [_PLANS],
    "reports/tables/lean_table.py": [_LEAN],
    "reports/tables/shelf_table.py": [_LEAN, "tests/command_line/test_shelf.py"],
    "reports/tables/survey_table.py": [_SURVEY, "tests/command_line/test_survey.py"],
    "reports/outputs/sweep_files.py": [_SWEEP, _FIGURES, "tests/command_line/test_sweep.py"],
    "reports/outputs/csv_files.py": ["tests/unit/test_csv_files.py", _SWEEP],
    "reports/outputs/compare_files.py": [_PLANS, _FIGURES],
    "reports/outputs/doubt_files.py": [_DOUBT, _FIGURES, "tests/command_line/test_doubt.py"],
    "reports/outputs/lean_files.py": [_LEAN, "tests/command_line/test_lean.py"],
    "reports/outputs/shelf_files.py": [_LEAN, _STATUS],
    "reports/outputs/plan_doubt_files.py": [_PLANS],
    "reports/outputs/survey_files.py": [_SURVEY],
    "reports/outputs": ["tests/unit/test_safe_write.py", _SWEEP],
    "reports/figures/lean_curves.py": [_LEAN],
    "reports/figures": ["tests/unit/test_figures.py", "tests/unit/test_car_figures.py", _FIGURES],
    "reports/words/lean.py": [_LEAN, "tests/command_line/test_lean.py", "tests/command_line/test_shelf.py"],
    "reports/words/plans.py": [_PLANS, _STATUS, "tests/plans"],
    "reports/words/survey.py": [_SURVEY, "tests/survey", "tests/command_line/test_survey.py"],
    "reports/words/verdict.py": ["tests/unit/test_limits.py", _STATUS, "tests/command_line/test_show.py"],
    "reports/words/gaps.py": ["tests/unit/test_gaps.py", "tests/command_line/test_sweep.py"],
    "reports/words/suspicious.py": ["tests/unit/test_oddities.py"],
    "reports/words/reading_list.py": ["tests/survey/test_measuring_sheet.py", "tests/survey/test_asked.py"],
    "reports/words": [_TERMINAL, _STATUS, "tests/command_line/test_show.py"],
    "reports/commands/compare.py": [_STATUS, _PLANS],
    "reports/commands/doubt.py": [_TERMINAL, _DOUBT, _STATUS, "tests/command_line/test_doubt.py"],
    "reports/commands/survey.py": [_SURVEY, _STATUS, "tests/command_line/test_survey.py"],
    "reports/commands/sweep.py": [_SWEEP, _STATUS, "tests/command_line/test_sweep.py"],
    "reports/commands/draw.py": [_FIGURES, _STATUS, "tests/command_line/test_draw.py"],
    "reports/commands/lean.py": [_LEAN, _STATUS],
    "reports/commands/demo.py": ["tests/command_line/test_demo.py", "tests/command_line/test_demo_cars.py"],
    "reports/commands/import_points.py": ["tests/command_line/test_import.py", _STATUS],
    "reports/commands/sheet.py": ["tests/survey/test_measuring_sheet.py", "tests/command_line/test_survey.py"],
    "reports/sheet": ["tests/survey/test_measuring_sheet.py", "tests/command_line/test_survey.py"],
    "reports": [_STATUS, "tests/command_line/test_help.py", "tests/command_line/test_steering.py"],
}


def concerned(path: str) -> list[str]:
    """Test files and folders for a fault in this file."""
    (longest,) = sorted((begin for begin in CONCERNED if path.startswith(begin)), key=len)[-1:]
    return CONCERNED[longest]
