"""The help of a cell in the one line that there is for it: what is needed most is not cut off."""

from collections.abc import Callable

from rich.cells import cell_len

from tui.widgets.cell_text import cut

LEAST_TOLD = 24
"""Cells for what a field is: beside its limits there is always room for so much."""

Clauses = list[str]

_TAKEN = ("type ", "bare: ", "a whole number", "yes or no")
"""What begins to say what may be typed, behind what the field is."""


def in_one_line(said: str, width: int) -> str:
    """A sentence about a cell within so many cells, F1 has it whole.

    Of what does not fit, examples go first, then that it may be left open; limits, the unit of a
    bare number and the choices stay, and rather the end of what the field is goes.
    """
    clauses = said.split("; ")
    told = next((n for n, each in enumerate(clauses) if each.startswith(_TAKEN)), len(clauses))
    what, taken = "; ".join(clauses[:told]), clauses[told:]
    for step in _STEPS:
        if cell_len("; ".join([what, *taken])) <= width:
            break
        taken = step(taken)
    rest = "".join(f"; {each}" for each in taken)
    room = max(width - cell_len(rest), LEAST_TOLD)
    return cut(cut(what, room) + rest, width)


def _shorter_limits(clauses: Clauses) -> Clauses:
    """At least 1 and at most 8: 1 to 8; more than 0 and at most 5 A: up to 5 A."""
    return [_shorter(clause) for clause in clauses]


def _shorter(clause: str) -> str:
    low, most, high = clause.partition(" and at most ")
    if not most:
        return clause
    if low == "more than 0":
        return f"up to {high}"
    if low.startswith("more than "):
        return f"over {low.removeprefix('more than ')}, up to {high}"
    return f"{low.removeprefix('at least ')} to {high}" if low.startswith("at least ") else clause


def _without_examples(clauses: Clauses) -> Clauses:
    if not any(clause.startswith("bare: ") for clause in clauses):
        return clauses  # they alone say what may be typed
    return [clause for clause in clauses if not clause.startswith("type ")]


def _without(words: str) -> Callable[[Clauses], Clauses]:
    return lambda clauses: [clause for clause in clauses if clause != words]


_STEPS: tuple[Callable[[Clauses], Clauses], ...] = (
    _shorter_limits,
    _without_examples,
    _without("auto: Mainrun chooses"),
    _without("a whole number"),
)
"""What is done to a sentence that is too long, one after the other until it fits."""
