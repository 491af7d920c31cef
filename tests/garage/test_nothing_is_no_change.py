"""What a record shows as no change is not called one: its rows as they are read, and the headline's count of them.

The invented saloon measured, and after a plan after which toe is set to what it was. Nothing is written here of
which numbers change: each row speaks for itself (formula: after less before, as they stand there).
"""

import re
from pathlib import Path

import pytest

from kinematics.inputs.demo_cars import demo_text
from reports.command_line import main

_ROW = re.compile(r"^│ (.+?) +│ +(\S+) │ +(\S+) │ +(\S+)(.*?) │ +(yes|no|doubt not told) │$", re.MULTILINE)
_SIDED = re.compile(r"^(front|rear) (left |right )?")


@pytest.mark.campaign
def test_nothing_is_not_more_than_its_doubt(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("COLUMNS", "140")
    known = "camber_known_to = 0.1, toe_in_known_to = 0.03, radius = "
    text = demo_text("rear_drive_saloon.toml").replace("radius = ", known, 1)
    (tmp_path / "car.toml").write_text(text, encoding="utf-8")
    lower = ["--change", "longer ball joint", "12", "--change", "tie-rod shim", "12"]
    assert main(["compare", "car.toml", *lower, "--write-car", "this change", "after.toml"]) in (0, 1)
    assert main(["record", "rec", "--add", "car.toml", "--date", "2026-03-14"]) == 0
    assert main(["record", "rec", "--add", "after.toml", "--date", "2026-04-02", "--state", "lower"]) == 0
    capsys.readouterr()
    assert main(["record", "rec", "--all"]) == 0
    out = capsys.readouterr().out
    rows = _ROW.findall(out)
    nothing = {what: sure for what, before, after, change, _, sure in rows if not float(change)}
    assert "front toe" in {_SIDED.sub(r"\1 ", what) for what in nothing}
    assert "yes" not in nothing.values()
    points = re.compile(r" (ahead|out|up)$")
    sure = {_SIDED.sub(r"\1 ", what) for what, *_, sure in rows if sure == "yes" and not points.search(what)}
    told = re.search(r"(\d+) numbers? changed by more than", " ".join(out.split()))
    assert told is not None
    assert int(told[1]) == len(sure)
