"""What counts until a survey that does not agree is mended: larger doubts, and curves that are left out."""

from kinematics.survey.fit import SurveyFit, scattered_beyond, spread_beyond
from kinematics.survey.judged import JudgedFit
from reports.words.survey_curves import left_out


def until_mended_words(found: SurveyFit) -> str:
    """On the screen, in one sentence; "" where nothing counts otherwise."""
    said = []
    if without := left_out(found):
        said.append(f"the points are fitted without {without}")
    if spread_beyond(found) > 1.0:
        why = (
            "readings scatter so far"
            if scattered_beyond(found) > 1.0
            else "either may be wrong, the readings or the curve"
        )
        times = f"doubts count {spread_beyond(found):.1f} times as large"
        said.append(f"{times}, here and in files, since {why}; points may be wrong by more")
    return f"until that is mended, {', and '.join(said)}" if said else ""


def at_head_of_file(judged: JudgedFit) -> list[str]:
    """At the head of a car file, a line for each thing that does not agree; none of a sound survey."""
    found, lines = judged.fit, []
    times = f"{spread_beyond(found):.1f} times as large"
    scattered = scattered_beyond(found) > 1.0
    if scattered:
        lines.append(
            f"the readings do NOT agree; mend the survey first. Until then doubts count {times}, as far as the "
            "readings scatter."
        )
    if without := left_out(found):
        if judged.culprits:
            # What is wrong with readings may be all that is wrong with the curve.
            lines.append(f"until the readings are mended, the points are fitted without {without}.")
        else:
            lines.append(f"left out, as the other readings do NOT agree with it: {without}. Mend the survey first.")
    if spread_beyond(found) > 1.0 and not scattered:
        lines.append(f"until it is known which is wrong, the readings or the curve, doubts count {times}.")
    return lines
