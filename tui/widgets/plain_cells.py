"""Signs for a terminal whose encoding has not all of ours: as wide, so that lines stay in line."""

import codecs
import sys

from rich.cells import cell_len

NAME = "mainrun-plain-cells"
"""The error handler's name among the codecs."""

_SIGNS = {
    **dict.fromkeys("·•", "."),
    **dict.fromkeys("…~≈", "~"),
    **dict.fromkeys("─━═╌–—−-", "-"),
    **dict.fromkeys("│┃║", "|"),
    **dict.fromkeys("┌┐└┘├┤┬┴┼╭╮╰╯╠╣╚╝╔╗╟╢╦╩╬", "+"),
    **dict.fromkeys("█▉▊▋▌▍▎▏▀▄▁▂▃▅▆▇■▓▒░", "#"),
    **dict.fromkeys("‘’′", "'"),
    **dict.fromkeys("“”„″", '"'),
    "┄": ".",
    "▸": ">",
    "▲": "^",
    "▼": "v",
    "±": "~",
    "×": "x",
    "Ω": "R",
    "µ": "u",
    "μ": "u",
    "°": "o",
    "²": "2",
    "³": "3",
}


def plain_cells(text: str) -> str:
    """The text in signs of ASCII, each as many cells wide as what it stands for."""
    return "".join(map(_plain, text))


def _plain(sign: str) -> str:
    if sign.isascii():
        return sign
    if "\u2800" <= sign <= "\u28ff":
        return " " if sign == "\u2800" else "*"
    return _SIGNS.get(sign) or "?" * cell_len(sign)


def _handler(error: UnicodeError) -> tuple[str, int]:
    if not isinstance(error, UnicodeEncodeError):
        raise error
    return plain_cells(error.object[error.start : error.end]), error.end


def prepare_terminal() -> None:
    """Let what the terminal's encoding lacks be written in such signs."""
    codecs.register_error(NAME, _handler)
    for stream in (sys.__stdout__, sys.__stderr__):
        reconfigure = getattr(stream, "reconfigure", None)
        if reconfigure is not None:
            reconfigure(errors=NAME)
