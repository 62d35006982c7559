"""Text by the cells it takes on the terminal, wide characters counted as two; what keys type."""

from rich.cells import cell_len, chop_cells, set_cell_size


def cut(text: str, width: int) -> str:
    """At most ``width`` cells of a text, with an ellipsis where something was left out."""
    if len(text) > 4 * width + 4:
        text = text[: 4 * width + 4]
    if cell_len(text) <= width:
        return text
    return set_cell_size(text, max(width - 1, 0)).rstrip() + "…" if width > 0 else ""


def cut_between(text: str, width: int) -> str:
    """At most ``width`` cells of a text, its end among them: it often tells names apart."""
    if len(text) > 4 * width + 4 or width < 3:
        return cut(text, width)
    if cell_len(text) <= width:
        return text
    head = set_cell_size(text, (width - 1) // 3).rstrip()
    room, start = width - cell_len(head) - 1, len(text)
    while start > 0 and cell_len(text[start - 1 :]) <= room:
        start -= 1
    return f"{head}…{text[start:].lstrip()}"


def left(text: str, width: int) -> str:
    """A text cut or padded to exactly ``width`` cells."""
    text = cut(text, width)
    return text + " " * (width - cell_len(text))


def right(text: str, width: int) -> str:
    """A text cut or padded on its left to exactly ``width`` cells."""
    text = cut(text, width)
    return " " * (width - cell_len(text)) + text


def wrap(text: str, width: int, first: str = "", rest: str | None = None) -> list[str]:
    """A text in lines of at most ``width`` cells, broken between words where possible.

    ``first`` leads the first line, ``rest`` the others (without it as much blank).
    """
    rest = " " * cell_len(first) if rest is None else rest
    room = max(width - max(cell_len(first), cell_len(rest)), 1)
    lines: list[str] = []
    line, taken = first, False
    for word in text.split():
        for piece in chop_cells(word, room) if cell_len(word) > room else (word,):
            if taken and cell_len(line) + 1 + cell_len(piece) > width:
                lines.append(line)
                line = rest + piece
            else:
                line += f" {piece}" if taken else piece
            taken = True
    return [*lines, line] if taken else lines


def typed(key: str, character: str | None) -> bool:
    """Whether a key types its character. A terminal sends alt with one too: alt+k is no k."""
    return bool(character) and str(character).isprintable() and not key.startswith("alt+")
