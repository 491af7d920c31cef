"""Words drawn as one piece against Matplotlib's own: the same size, ink, and place to within a dot."""

import matplotlib
import numpy as np
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure

from reports.figures.light_letters import LightCanvas
from reports.figures.style import paper

WORDS = ("roll-centre height [mm]", "\N{MINUS SIGN}25.4", "Ligatures: fi, AV", "g", "Ж", "twice", "twice", " ")


pytestmark = pytest.mark.skipif(matplotlib.__version_info__[:2] != (3, 11), reason="not drawn so")


def written(words: str, size: float, angle: float) -> Figure:
    """Words a third of a dot off, twice."""
    figure = Figure(figsize=(3.0, 2.0))
    figure.text(0.1004, 0.1006, words, fontsize=size, rotation=angle)
    figure.text(0.1004, 0.6006, words, fontsize=size, rotation=angle, fontweight="bold", color="#0072B2")
    return figure


def ink(dots: np.ndarray) -> np.ndarray:
    """How dark each dot is; 1 is black."""
    return 1.0 - dots[..., :3].astype(float).mean(axis=2) / 255.0


@pytest.mark.parametrize("angle", [0.0, 90.0])
@pytest.mark.parametrize("size", [8.0, 11.0])
@pytest.mark.parametrize("words", WORDS)
def test_the_same_ink_at_the_same_place(words: str, size: float, angle: float) -> None:
    with paper():
        figure, theirs = written(words, size, angle), written(words, size, angle)
        own, canvas = LightCanvas(figure), FigureCanvasAgg(theirs)
        mine, usual = (np.asarray(one.buffer_rgba()) for one in (own, canvas) if one.draw() is None)
        boxes = [
            [one.get_window_extent(renderer).bounds for one in drawn.texts]
            for drawn, renderer in ((figure, own.get_renderer()), (theirs, canvas.get_renderer()))
        ]
    assert boxes[0] == boxes[1]
    assert mine.shape == usual.shape == (300, 450, 4)
    for half in (slice(0, 150), slice(150, 300)):
        ours, other = ink(mine[half]), ink(usual[half])
        assert ours.sum() == pytest.approx(other.sum(), rel=0.03)
        if not words.strip():
            assert ours.sum() == 0.0
            continue
        places = np.indices(ours.shape)
        centres = [(places * one).sum(axis=(1, 2)) / one.sum() for one in (ours, other)]
        down, right = centres[0] - centres[1]
        assert abs(down) < 0.55  # half a dot, and what the dots cannot tell
        assert abs(right) < 1.0
