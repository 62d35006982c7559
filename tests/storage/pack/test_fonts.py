"""Text of any script has letters to be drawn with, and is cut to its room."""

import unicodedata
from pathlib import Path

import pytest
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.pdfgen.canvas import Canvas

import storage.pack.fonts
from storage.pack.fonts import BOLD, PLAIN, POINT_MM, fitted, pieces, width_mm
from storage.pack.ink import Ink, Sheets
from tests.storage.pack.measuring import open_pdf
from tests.storage.pack.parts import ODD_NAMES


@pytest.mark.parametrize(
    ("text", "font"),
    [
        ("Halterung für Ø 5", "Helvetica"),
        ("Кронштейн", "NotoSans"),
        ("Βάση", "NotoSans"),
        ("כן", "NotoSansHebrew"),
        ("กล่อง", "NotoSansThai"),
        ("支架", "STSong-Light"),
        ("브래킷", "HYGothic-Medium"),
        ("ブラケット", "HeiseiKakuGo-W5"),
        ("🔊", "NotoEmoji"),
    ],
)
def test_each_script_has_a_font(text: str, font: str) -> None:
    found = pieces(text)
    assert font in {name for name, _ in found}
    assert "\ufffd" not in "".join(piece for _, piece in found)


SCRIPTS = (
    "ARABIC",
    "ARMENIAN",
    "BENGALI",
    "CYRILLIC",
    "DEVANAGARI",
    "ETHIOPIC",
    "GEORGIAN",
    "GREEK",
    "GUJARATI",
    "GURMUKHI",
    "HEBREW",
    "KANNADA",
    "KHMER",
    "LAO",
    "MALAYALAM",
    "MYANMAR",
    "ORIYA",
    "SINHALA",
    "TAMIL",
    "TELUGU",
    "THAI",
)


@pytest.mark.parametrize("script", SCRIPTS)
def test_every_letter_of_a_script_is_printed(script: str) -> None:
    """Unicode Character Database 3.2, as Python has it: its letters, marks and digits."""
    data = unicodedata.ucd_3_2_0
    wanted = [
        char
        for char in map(chr, range(0x370, 0x1800))
        if data.category(char) in ("Lu", "Ll", "Lo", "Mn", "Mc", "Nd")
        and data.name(char).startswith(f"{script} ")
    ]
    assert len(wanted) > 50
    lost = [char for char in wanted if any("\ufffd" in piece for _, piece in pieces(char))]
    assert lost == []


def test_the_fonts_stand_beside_their_licence() -> None:
    """SIL Open Font License 1.1, condition 2: each copy carries the notice and the licence."""
    folder = Path(storage.pack.fonts.__file__).with_name("noto")
    licence = (folder / "OFL.txt").read_text(encoding="utf-8")
    assert "SIL OPEN FONT LICENSE Version 1.1" in licence
    assert len(list(folder.glob("*.ttf"))) == 23


@pytest.mark.parametrize("sign", "−≤≥≈∅Ω→⚠√∞°±×µ½")
def test_signs_of_the_trade_are_printed(sign: str) -> None:
    assert pieces(sign)[0][1] == sign


def test_right_to_left_is_set_from_the_right_with_joined_letters() -> None:
    """Unicode Standard, chapter 9: seen, meem and lam-alef take their joined forms."""
    (piece,) = pieces("سلام")
    assert piece == ("NotoSansArabic", "\ufee1\ufefc\ufeb3")
    assert "".join(part for _, part in pieces("a אב 12")) == "a 12 בא"


def test_what_cannot_be_drawn_is_seen() -> None:
    assert pieces("a\u241bb") == (("Helvetica", "a^[b"),)
    assert pieces("\u241b") == pieces("\x1b")
    assert pieces("\U00013000")[0][1] == "\ufffd"
    assert pieces("x\u200dy\ufe0f") == (("Helvetica", "xy"),)
    assert pieces("") == ()


@pytest.mark.parametrize("text", ODD_NAMES.values(), ids=ODD_NAMES)
@pytest.mark.parametrize("most", [0.0, 5.0, 40.0])
def test_fitted_text_fits(text: str, most: float) -> None:
    short = fitted(text, 8, most)
    assert width_mm(short, 8) <= most
    assert text.startswith(short.removesuffix("…"))


def test_width_of_plain_text() -> None:
    """Adobe's Helvetica metrics: W is 944, i 222 thousandths of the size."""
    assert width_mm("Wi", 10) == pytest.approx((0.944 + 0.222) * 10 * POINT_MM)


def test_what_is_printed_can_be_copied() -> None:
    # conservation: pymupdf reads back what was set, letters beyond U+FFFF too
    said = ("box 🔊 and 🔧", "Кронштейн", "bracket 👍🏽 ✔", "支架 ブラケット")
    ink = Ink("copied", 210, 297)
    for i, text in enumerate(said):
        ink.text(20, 280 - 10 * i, text, 9)
    ink.end_page()
    assert open_pdf(ink.close())[0].get_text().splitlines() == list(said)


@pytest.mark.parametrize("text", ["run 1", "(12) \\ ~ %", " ", ""])
@pytest.mark.parametrize("bold", [False, True])
def test_plain_text_is_printed_as_the_library_prints_it(
    text: str, bold: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    # second method: the library's own way of it, through an object for each text
    sheets, theirs = Sheets("", 100, 100), Canvas("")
    for each in (sheets, theirs):
        each.setFont(BOLD if bold else PLAIN, 9.5)
        each._code.clear()
    if text:
        theirs.drawString(12.3456, 7, text)
    monkeypatch.setattr(Canvas, "drawString", None)
    sheets.drawString(12.3456, 7, text)
    assert sheets._code == theirs._code


def test_plain_text_is_as_wide_as_the_library_says() -> None:
    # source: the widths of the standard fonts as the library has them
    letters = "".join(map(chr, range(32, 127)))
    for text in (letters, letters[::7], "0.31 V", ""):
        for bold in (False, True):
            expected = stringWidth(text, BOLD if bold else PLAIN, 9.5) * POINT_MM
            assert width_mm(text, 9.5, bold) == pytest.approx(expected, rel=1e-12)
