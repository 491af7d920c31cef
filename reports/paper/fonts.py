"""The letters of a PDF: those that come with Matplotlib, as in its figures; they have most of what a name holds."""

from pathlib import Path

FONT, BOLD = "DejaVu Sans", "DejaVu Sans Bold"
_FILES = {FONT: "DejaVuSans.ttf", BOLD: "DejaVuSans-Bold.ttf"}


def with_fonts() -> None:
    """Make them known to ReportLab; InputFaultError where one is missing."""
    import matplotlib
    from reportlab.lib.fonts import addMapping
    from reportlab.pdfbase.pdfmetrics import registerFont
    from reportlab.pdfbase.ttfonts import TTFError, TTFont

    from reports.paper.installed import refuse_missing

    folder = Path(matplotlib.get_data_path()) / "fonts" / "ttf"
    for name, file in _FILES.items():
        with refuse_missing(file):
            try:
                registerFont(TTFont(name, folder / file))
            except TTFError as error:
                raise OSError(str(error)) from None
    for bold in (0, 1):
        for slanted in (0, 1):
            addMapping(FONT, bold, slanted, BOLD if bold else FONT)
