"""Text in any script, wrapped to a width.

Lines are broken in reading order and put in visual order afterwards, so that right-to-left text
continues on the next line as it should.
"""

from functools import lru_cache

from storage.pack.fonts import fitted, width_mm


@lru_cache(8192)
def wrapped(
    text: str, size_pt: float, width: float, bold: bool = False, most: int = 1000
) -> tuple[str, ...]:
    """The text in at most ``most`` lines of at most ``width`` [mm]; the last may be shortened."""
    if width_mm(text, size_pt, bold) <= width:
        return (text,)
    lines = _lines(text, size_pt, width, bold)
    if len(lines) > most:
        rest = " ".join(lines[most - 1 :])
        lines = [*lines[: most - 1], fitted(f"{rest} …", size_pt, width, bold)]
    return tuple(lines)


def _lines(text: str, size_pt: float, width: float, bold: bool) -> list[str]:
    space = width_mm(" ", size_pt, bold)
    lines: list[str] = []
    line, used = "", 0.0
    for word in text.split():
        wide = width_mm(word, size_pt, bold)
        if line and used + space + wide <= width:
            line, used = f"{line} {word}", used + space + wide
            continue
        if line:
            lines.append(line)
        line, used = word, wide
        while used > width and len(line) > 1:
            part = _most_of(line, size_pt, width, bold)
            lines.append(line[:part])
            line = line[part:]
            used = width_mm(line, size_pt, bold)
    return [*lines, line] if line else lines


def _most_of(word: str, size_pt: float, width: float, bold: bool) -> int:
    """The number of letters of a long word that fit, at least one."""
    low, high = 1, len(word)
    while low < high:
        middle = (low + high + 1) // 2
        if width_mm(word[:middle], size_pt, bold) <= width:
            low = middle
        else:
            high = middle - 1
    return low
