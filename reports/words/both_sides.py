"""What is said of the left and of the right alike, said once."""

from collections.abc import Sequence


def once_for_both_sides(texts: Sequence[str]) -> list[str]:
    """Sentences that start 'front left: ' and 'front right: ' and are alike become one, 'front: '."""
    common = [text.replace(" left:", ":", 1).replace(" right:", ":", 1) for text in texts]
    return list(dict.fromkeys(one if common.count(one) == 2 else text for one, text in zip(common, texts, strict=True)))
