"""How light a colour is, against the guidelines' contrasts."""

from __future__ import annotations

import pytest

from piecewright.cutting.colours import is_colour, luminance


@pytest.mark.parametrize(
    "text", ["#12345", "#1234567", "red", "", None, "#12345g", "#123456\n", 'red" onload="x']
)
def test_what_is_no_colour_never_stands_in_a_page(text: str | None) -> None:
    assert not is_colour(text)
    assert is_colour("#aBc123")


def test_luminance_agrees_with_the_guidelines_contrast_of_black_white_and_the_named_grey() -> None:
    # WCAG 2.2: contrast = (L1 + 0.05) / (L2 + 0.05); black on white is 21:1, and #767676 on white is
    # the well-known darkest failing neighbour's 4.54:1.
    # The pure colours on white: red 4.00, green 1.37, blue 8.59.
    expected = {
        "#000000": 21.0,
        "#767676": 4.54,
        "#ff0000": 4.0,
        "#00ff00": 1.37,
        "#0000ff": 8.59,
        "#0a0a0a": 19.8,
    }
    for colour, contrast in expected.items():
        assert 1.05 / (luminance(colour) + 0.05) == pytest.approx(contrast, abs=0.005), colour
    assert luminance("#ffffff") == pytest.approx(1.0)
