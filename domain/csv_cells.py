"""Text cells of a CSV file that a spreadsheet cannot run, and numbers as people write them."""

import csv
import io
from collections.abc import Iterable, Sequence
from decimal import Decimal

from domain.patterns import Pattern

_RUNS = Pattern(r"'*\s*[=+\-@\t\r＝＋－＠]")
_PLAIN = Pattern(r"-?[0-9]+(?:\.[0-9]+)?")
_NUMBER = Pattern(r"[0-9]+(?:[.,][0-9]+)?|[.,][0-9]+")
_AMBIGUOUS = Pattern(r"[1-9][0-9]{0,2},[0-9]{3}")
_POINTED = Pattern(r"[1-9][0-9]{0,2}\.[0-9]{3}")
_MONEY = "$€£¥ "
_PER_HOUR = Pattern(r"(?i) */ *(h|hr|hour)$")
_AFTER = Pattern(r"([;\t|\r\n])(?='* *[=+\-@＝＋－＠])")
"""Where a program that splits lines otherwise than at commas would begin a cell that it runs."""

_UNDO_AFTER = Pattern(r"([;\t|\r\n])'(?='* *[=+\-@＝＋－＠])")


Cell = str | float | None


class CsvRefused(ValueError):
    """A CSV file that cannot be taken; the message names every bad line. Nothing was changed."""


def defused(text: str) -> str:
    """A text that no spreadsheet runs as a formula: one with an apostrophe before it if need be.

    Also where the file is opened with another separator than commas. Plain numbers, also negative
    ones, stay as they are.
    """
    if _PLAIN.fullmatch(text):
        return text
    text = _AFTER.sub(r"\1'", text)
    return f"'{text}" if _RUNS.match(text) else text


def cell_text(cell: Cell) -> str:
    """A cell as text that no spreadsheet runs; none is empty, a figure has six digits."""
    if cell is None:
        return ""
    return f"{cell:.6g}" if isinstance(cell, int | float) else defused(cell)


def undone(cell: str) -> str:
    """The text that ``defused`` made this cell of; any other cell as it stands."""
    text = cell[1:] if cell.startswith("'") and _RUNS.match(cell) else cell
    return _UNDO_AFTER.sub(r"\1", text)


class CsvRow(dict[str, str]):
    """A row of a CSV file by column, and whether its file has semicolons between cells."""

    def __init__(self, cells: Iterable[tuple[str, str]], *, semicolons: bool) -> None:
        super().__init__(cells)
        self.semicolons = semicolons

    def number(self, column: str) -> Decimal:
        """The number in a cell, as ``number``."""
        return number(self[column], semicolons=self.semicolons)


def number(cell: str, *, semicolons: bool = False) -> Decimal:
    """A number of no sign, with decimal point or comma; ``ValueError`` with a sentence if not.

    A comma before exactly three digits may mean thousands: such a number is refused. So is a point
    there in a file with ``semicolons`` between its cells, where commas are for decimals.
    """
    text = cell.strip()
    if semicolons and _POINTED.fullmatch(text):
        comma = text.replace(".", ",").rstrip("0").rstrip(",")
        raise ValueError(f"{text} may be {comma} or {text.replace('.', '')}: write one of these")
    if _AMBIGUOUS.fullmatch(text):
        point, plain = text.replace(",", "."), text.replace(",", "")
        raise ValueError(f"{text} may be {point} or {plain}: write one of these")
    if not _NUMBER.fullmatch(text) or not text.isascii():
        raise ValueError(f"{cell!r} is no number such as 12.50")
    return Decimal(text.replace(",", "."))


def amount(cell: str) -> str:
    """An amount of money without its sign or "per hour", as people write them: "$95/h" is 95."""
    return _PER_HOUR.sub("", cell.strip()).strip().strip(_MONEY).strip()


def plain(value: float) -> str:
    """The shortest text of a number that reads back the same, without an exponent."""
    return f"{Decimal(repr(float(value))):f}".removesuffix(".0")


def written(rows: Iterable[Sequence[str]]) -> str:
    """Rows as the text of a CSV file."""
    out = io.StringIO()
    csv.writer(out, lineterminator="\n").writerows(rows)
    return out.getvalue()


def rows_under(text: str, columns: Sequence[str]) -> list[tuple[int, CsvRow]]:
    """The rows of a CSV file with exactly these columns, in any order, each with its line number.

    Takes commas or semicolons between cells, and a byte order mark; leaves empty lines out.
    Raises ``CsvRefused`` where the header or the count of cells is wrong.
    """
    text = text.removeprefix("\ufeff")
    first = next((line for line in text.splitlines() if line.strip()), "")
    delimiter = ";" if first.count(";") > first.count(",") else ","
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    header: list[str] = []
    found: list[tuple[int, CsvRow]] = []
    try:
        for cells in reader:
            if not any(cell.strip() for cell in cells):
                continue
            if not header:
                header = [cell.strip().casefold() for cell in cells]
                _check(header, columns)
            elif len(cells) != len(header):
                raise CsvRefused(
                    f"line {reader.line_num}: {len(cells)} cells under {len(header)} columns; "
                    "nothing was taken"
                )
            else:
                pairs = zip(header, cells, strict=True)
                row = CsvRow(
                    ((column, undone(cell)) for column, cell in pairs), semicolons=delimiter == ";"
                )
                found.append((reader.line_num, row))
    except csv.Error as error:
        raise CsvRefused(f"line {reader.line_num}: {error}; nothing was taken") from error
    if not header:
        raise CsvRefused(f"the file is empty: its first line must be {','.join(columns)}")
    return found


def refused(problems: Sequence[str]) -> CsvRefused:
    """What to say when rows are bad: the first ten, and how many more."""
    more = f"; and {len(problems) - 10} more" if len(problems) > 10 else ""
    return CsvRefused("; ".join(problems[:10]) + more + "; nothing was taken")


def _check(header: list[str], columns: Sequence[str]) -> None:
    missing = [column for column in columns if column not in header]
    unknown = [column for column in header if column not in columns]
    twice = len(set(header)) < len(header)
    if missing or unknown or twice:
        what = [f"no column {column!r}" for column in missing]
        what += [f"unknown column {column!r}" for column in unknown]
        what += ["a column twice"] if twice else []
        raise CsvRefused(
            f"the header has {', '.join(what)}: it must be {','.join(columns)}; nothing was taken"
        )
