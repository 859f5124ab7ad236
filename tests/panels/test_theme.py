"""The inks: contrast by the WCAG 2.x formula, and no blue light to spoil night vision."""

import pytest

from firmware.ui.frame import theme
from sim.panels.colours import rgb888

TEXT_INKS = ("DIM", "TEXT", "HOT", "WARN")


def luminance(colour):
    """Relative luminance of an RGB565 colour. Source: WCAG 2.2, "relative luminance" (sRGB)."""
    parts = [c / 255 for c in rgb888(colour)]
    r, g, b = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts)
    return 0.2126 * r + 0.7152 * g + 0.0722 * b


def contrast(one, other):
    """Source: WCAG 2.2, "contrast ratio"."""
    bright, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (bright + 0.05) / (dark + 0.05)


def colour(name):
    return theme.COLOURS[getattr(theme, name)]


def test_the_formula():
    assert contrast(0xFFFF, 0x0000) == pytest.approx(21)  # WCAG: black on white is 21:1


@pytest.mark.parametrize("paper", ["PAPER", "PANEL"])
@pytest.mark.parametrize("ink", TEXT_INKS)
def test_text_is_7_to_1(ink, paper):
    """WCAG 2.2 success criterion 1.4.6 (AAA)."""
    assert contrast(colour(ink), colour(paper)) >= 7


def test_the_chosen_row_is_7_to_1():
    assert contrast(colour("PAPER"), colour("HOT")) >= 7


def test_shapes_are_3_to_1():
    """WCAG 2.2 success criterion 1.4.11: what is needed to understand a shape, against what is beside it."""
    assert contrast(colour("EDGE"), colour("PAPER")) >= 3
    assert contrast(colour("HOT"), colour("LOW")) >= 3


@pytest.mark.parametrize("index", range(8))
def test_warm_and_dark(index):
    """Red leads and blue comes last in every ink: rods barely see red (common practice for night work)."""
    r, g, b = rgb888(theme.COLOURS[index])
    assert r >= g >= b


def test_paper_is_nearly_black():
    assert luminance(colour("PAPER")) < 0.005 and luminance(colour("PANEL")) < 0.02


def test_on_one_bit_text_still_differs_from_its_paper():
    bit = {name: theme.LIGHT >> getattr(theme, name) & 1 for name in (*TEXT_INKS, "PAPER", "PANEL", "EDGE")}
    assert all(bit[ink] for ink in TEXT_INKS) and bit["EDGE"]
    assert not bit["PAPER"] and not bit["PANEL"]


def test_rgb565():
    assert theme.rgb565(255, 255, 255) == 0xFFFF
    assert theme.rgb565(255, 0, 0) == 0xF800
    assert rgb888(theme.rgb565(0, 255, 0)) == bytes((0, 255, 0))
