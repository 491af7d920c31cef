"""The validation page: what every check compared, with which source, and how closely it agreed."""

Agreement = tuple[float, float]  # reached, asked
KEY = "agreement"  # of a test's report
