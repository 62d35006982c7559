"""Text in any script on paper: which font has each letter, how wide text is, how it is shortened.

Western letters use a font built into every viewer. Other scripts use the Noto fonts, embedded:
``noto/`` beside this file has them, and its README.md says where they are from. Chinese, Japanese
and Korean use the viewer's own fonts, named in the file but not embedded. A letter that no font
has is shown as a replacement sign, a control character in caret notation. Right-to-left text is
put in visual order and Arabic letters are joined; the marks of Indic scripts are set one after
another, unjoined.
"""

import re
from functools import cache, lru_cache
from pathlib import Path
from typing import Any

PLAIN = "Helvetica"
BOLD = "Helvetica-Bold"
POINT_MM = 25.4 / 72

_SCRIPTS = (
    (0x0530, 0x058F, "NotoSansArmenian"),
    (0x0590, 0x05FF, "NotoSansHebrew"),
    (0xFB1D, 0xFB4F, "NotoSansHebrew"),
    (0x0600, 0x077F, "NotoSansArabic"),
    (0xFB50, 0xFEFE, "NotoSansArabic"),
    (0x0900, 0x097F, "NotoSansDevanagari"),
    (0x0980, 0x09FF, "NotoSansBengali"),
    (0x0A00, 0x0A7F, "NotoSansGurmukhi"),
    (0x0A80, 0x0AFF, "NotoSansGujarati"),
    (0x0B00, 0x0B7F, "NotoSansOriya"),
    (0x0B80, 0x0BFF, "NotoSansTamil"),
    (0x0C00, 0x0C7F, "NotoSansTelugu"),
    (0x0C80, 0x0CFF, "NotoSansKannada"),
    (0x0D00, 0x0D7F, "NotoSansMalayalam"),
    (0x0D80, 0x0DFF, "NotoSansSinhala"),
    (0x0E00, 0x0E7F, "NotoSansThai"),
    (0x0E80, 0x0EFF, "NotoSansLao"),
    (0x1000, 0x109F, "NotoSansMyanmar"),
    (0x10A0, 0x10FF, "NotoSansGeorgian"),
    (0x1200, 0x139F, "NotoSansEthiopic"),
    (0x1780, 0x17FF, "NotoSansKhmer"),
)
"""First and last code point of a script, and the font that has it."""

_NOTO = Path(__file__).with_name("noto")

_ANY_SCRIPT = ("NotoSans", "NotoSansMath", "NotoSansSymbols", "NotoEmoji")

_EASTERN = {
    "STSong-Light": "gbk",
    "HeiseiKakuGo-W5": "shift_jis",
    "HYGothic-Medium": "euc_kr",
    "MSung-Light": "big5",
}
"""Fonts for Chinese, Japanese and Korean that viewers supply, and the codec of their letters."""

_REPLACEMENT = "\ufffd"

_ALIKE = {"✓": "✔", "✗": "✖", "☑": "✅"}
"""Signs that no font has, and the nearest sign that one has."""
_IGNORED = frozenset("\u00ad\u200b\u200c\u200d\u200e\u200f\u2060\ufe0e\ufe0f\ufeff")
"""Characters that shape their neighbours and are invisible themselves."""


def width_mm(text: str, size_pt: float, bold: bool = False) -> float:
    """Width of a line of text as printed [mm]."""
    if is_plain(text):  # nearly all
        return _plain_width(text, size_pt, bold) * POINT_MM
    return sum(_string_width(piece, font, size_pt) for font, piece in pieces(text, bold)) * POINT_MM


def fitted(text: str, size_pt: float, most_mm: float, bold: bool = False) -> str:
    """The text, shortened with an ellipsis if it is wider than ``most_mm``."""
    if width_mm(text, size_pt, bold) <= most_mm:
        return text
    low, high = 0, len(text)
    while low < high:
        middle = (low + high + 1) // 2
        if width_mm(text[:middle].rstrip() + "…", size_pt, bold) <= most_mm:
            low = middle
        else:
            high = middle - 1
    return text[:low].rstrip() + "…" if low else ""


def is_plain(text: str) -> bool:
    """Whether all of it are letters that the Western fonts have under the same numbers."""
    return text.isascii() and text.isprintable()


def pieces(text: str, bold: bool = False) -> tuple[tuple[str, str], ...]:
    """The text in visual order as (font, piece) pairs. Only Western text can be bold."""
    if is_plain(text):
        return ((BOLD if bold else PLAIN, text),) if text else ()
    found = _pieces(text)
    return tuple((BOLD if f == PLAIN else f, piece) for f, piece in found) if bold else found


@lru_cache(4096)
def _pieces(text: str) -> tuple[tuple[str, str], ...]:
    found: list[tuple[str, str]] = []
    eastern = _eastern_fonts(text)
    for char in _as_set(text):
        font, drawn = _drawn(char, eastern)
        if found and found[-1][0] == font:
            found[-1] = (font, found[-1][1] + drawn)
        else:
            found.append((font, drawn))
    return tuple(found)


def _as_set(text: str) -> str:
    """The visible characters in the order in which they are printed."""
    shown = "".join(_visible(char) for char in text if char not in _IGNORED)
    if any("\u0590" <= char <= "\u08ff" or "\ufb1d" <= char <= "\ufefc" for char in shown):
        from arabic_reshaper import reshape
        from bidi import get_display

        shown = str(get_display(reshape(shown)))
    return shown


def _visible(char: str) -> str:
    code = ord(char)
    if 0x2400 <= code <= 0x2421:
        code = 0x7F if code == 0x2421 else code - 0x2400
    if code < 0x20 or code == 0x7F:
        return "^" + chr(code ^ 0x40)
    return _REPLACEMENT if 0xD800 <= code <= 0xDFFF or 0x80 <= code < 0xA0 else char


def _eastern_fonts(text: str) -> tuple[str, ...]:
    """The Chinese, Japanese and Korean fonts, the one with most letters of this text first."""
    letters = [char for char in text if char >= "\u2e80"]
    kana = any("\u3040" <= char <= "\u30ff" for char in letters)
    return tuple(
        sorted(
            _EASTERN,
            key=lambda name: (
                -sum(_codec_has(char, _EASTERN[name]) for char in letters),
                not (kana and name == "HeiseiKakuGo-W5"),
            ),
        )
    )


@lru_cache(4096)
def _drawn(char: str, eastern: tuple[str, ...]) -> tuple[str, str]:
    """The font for a character, and what to print: the character or a replacement sign."""
    code = ord(char)
    if char.isascii() or _codec_has(char, "cp1252"):
        return PLAIN, char
    script = next((name for low, high, name in _SCRIPTS if low <= code <= high), None)
    for name in (script, *_ANY_SCRIPT):
        if name and code in _embedded(name):
            return name, char
    for name in eastern:
        if _codec_has(char, _EASTERN[name]):
            _register_eastern(name)
            return name, char
    if char == _REPLACEMENT:
        return PLAIN, "?"
    if char in _ALIKE:
        return _drawn(_ALIKE[char], eastern)
    return _drawn(_REPLACEMENT, eastern)


def _codec_has(char: str, codec: str) -> bool:
    try:
        char.encode(codec)
    except UnicodeEncodeError:
        return False
    return True


@cache
def _embedded(name: str) -> frozenset[int]:
    """Register a Noto font; returns the code points it has."""
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.ttfonts import TTFont

    class Copied(TTFont):  # type: ignore[misc]
        """A font whose letters beyond U+FFFF can be copied: the library truncates their codes."""

        def addObjects(self, doc: Any) -> None:  # noqa: N802
            super().addObjects(doc)
            for key, found in doc.idToObject.items():
                if str(key).startswith("toUnicodeCMap:"):
                    found.content = _LONG_CODE.sub(_as_utf16, found.content)

    font = Copied(name, str(_NOTO / f"{name}.ttf"), shapable=False)
    pdfmetrics.registerFont(font)
    return frozenset(font.face.charToGlyph)


_LONG_CODE = re.compile(r"(?<=> )<([0-9A-F]{5,6})>")
"""A code point beyond U+FFFF in a font's table of what its letters mean."""


def _as_utf16(found: re.Match[str]) -> str:
    """The code point in UTF-16, as that table wants it (ISO 32000-1, 9.10.3)."""
    return f"<{chr(int(found[1], 16)).encode('utf-16-be').hex().upper()}>"


@cache
def _register_eastern(name: str) -> None:
    from reportlab.pdfbase import pdfmetrics
    from reportlab.pdfbase.cidfonts import UnicodeCIDFont

    pdfmetrics.registerFont(UnicodeCIDFont(name))


@lru_cache(8192)
def _plain_width(text: str, size_pt: float, bold: bool) -> float:
    widths = _plain_widths(bold)
    return sum(map(widths.__getitem__, text.encode("ascii"))) * 0.001 * size_pt


@cache
def _plain_widths(bold: bool) -> tuple[int, ...]:
    """How wide each plain letter is, in thousandths of the type size."""
    font = BOLD if bold else PLAIN
    return tuple(round(_string_width(chr(n), font, 1000)) if n >= 32 else 0 for n in range(127))


def _string_width(piece: str, font: str, size_pt: float) -> float:
    from reportlab.pdfbase.pdfmetrics import stringWidth

    return float(stringWidth(piece, font, size_pt))
