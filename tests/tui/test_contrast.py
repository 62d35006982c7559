"""STOP, FIX and FAIL can be read on light and dark terminals.

Contrast is that of WCAG 2.1 (formula and the 3:1 for large or bold text; from memory). Colours are
the defaults of xterm and of the VGA text console (from memory): what 16 colours look like is up to
the terminal. Many draw bold letters in the bright colour of a pair.
"""

import pytest
from rich.style import Style

from tui.tables.level_styles import BAD, LEVEL_STYLES
from tui.tables.limb_figures import Look
from tui.tables.readings import READINGS
from tui.tables.wiring import DRAWING, FORM, wiring_spec

XTERM = [
    "000000", "cd0000", "00cd00", "cdcd00", "0000ee", "cd00cd", "00cdcd", "e5e5e5",
    "7f7f7f", "ff0000", "00ff00", "ffff00", "5c5cff", "ff00ff", "00ffff", "ffffff",
]  # fmt: skip
VGA = [
    "000000", "aa0000", "00aa00", "aa5500", "0000aa", "aa00aa", "00aaaa", "aaaaaa",
    "555555", "ff5555", "55ff55", "ffff55", "5555ff", "ff55ff", "55ffff", "ffffff",
]  # fmt: skip
GROUNDS = {"dark": ("e5e5e5", "000000"), "light": ("000000", "ffffff")}
"""Letters and ground where nothing is said of them."""

LEAST = 3.0


def luminance(colour: str) -> float:
    """Relative luminance of a colour."""
    parts = [int(colour[i : i + 2], 16) / 255 for i in (0, 2, 4)]
    linear = [p / 12.92 if p <= 0.03928 else ((p + 0.055) / 1.055) ** 2.4 for p in parts]
    return 0.2126 * linear[0] + 0.7152 * linear[1] + 0.0722 * linear[2]


def contrast(one: str, other: str) -> float:
    """Contrast ratio of two colours, 1 to 21."""
    high, low = sorted((luminance(one), luminance(other)), reverse=True)
    return (high + 0.05) / (low + 0.05)


def drawn(style: str, palette: list[str], ground: str, brightened: bool) -> tuple[str, str]:
    """The colours of letters and ground that a style comes to on a terminal."""
    known = Style.parse(style)
    letters, behind = GROUNDS[ground]
    if known.bgcolor is not None and known.bgcolor.number is not None:
        behind = palette[known.bgcolor.number]
    if known.color is not None and known.color.number is not None:
        number = known.color.number
        letters = palette[number + (8 if known.bold and brightened and number < 8 else 0)]
    return letters, behind


def test_the_measure_itself() -> None:
    # published: black on white is 21:1, and #767676 the lightest grey with 4.5:1 on white
    assert contrast("000000", "ffffff") == pytest.approx(21)
    assert contrast("767676", "ffffff") == pytest.approx(4.54, abs=0.01)
    # bright yellow on white, which nobody could read
    assert contrast(*drawn("bold yellow", XTERM, "light", True)) < 1.2


@pytest.mark.parametrize("style", sorted({*LEVEL_STYLES.values(), BAD}))
@pytest.mark.parametrize("ground", GROUNDS)
def test_what_is_wrong_can_be_read(style: str, ground: str) -> None:
    looks = [(XTERM, False), (XTERM, True)]
    if ground == "dark":
        looks.append((VGA, True))  # the text console is dark, and brightens what is bold
    for palette, brightened in looks:
        letters, behind = drawn(style, palette, ground, brightened)
        assert contrast(letters, behind) >= LEAST, (style, ground, letters, behind)


def test_what_fails_is_drawn_so() -> None:
    verdict = next(column for column in READINGS.columns if column.id == "·verdict")
    assert verdict.style("FAIL +0.30") == BAD
    assert verdict.style("pass") != BAD
    form = FORM.columns[-1]
    assert form.style("STOP: too thin") == BAD
    drawing = next(c for c in wiring_spec(Look).columns if c.id == DRAWING)
    assert drawing.style("!!╠═ Door amp") == BAD
