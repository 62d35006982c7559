"""A whole first plan in ten lines, for the help page: keys, and what each line of them does."""

from tui.actions import shown_key

FIRST_PLAN: tuple[tuple[tuple[str, ...], str], ...] = (
    (
        ("ctrl+n", "enter"),
        "a new build, nothing answered, on its wiring; a row stands ready for an amplifier",
    ),
    (("4x75", "enter"), "four channels of 75 W: wire, fuse and ground come with it"),
    (("1x500", "enter"), "one channel of 500 W"),
    (("2x150", "enter"), "two channels of 150 W"),
    (("enter",), "on to the first length that is not measured yet"),
    (("16", "enter"), "16 ft of main run, as the tape says"),
    (("3ft", "enter", "down"), "to the first amplifier; down leads past its ground"),
    (("4ft", "enter", "down"), "to the second"),
    (("30in", "enter"), "to the third: every wire and fuse is chosen"),
    (("ctrl+g",), "what is wrong or worth knowing, one after the other; F8 is the paper"),
)
"""Each line: the keys, and what they do."""


def first_plan_rows() -> list[tuple[str, str]]:
    """Rows of the help page."""
    return [(" ".join(shown_key(key) for key in keys), what) for keys, what in FIRST_PLAN]
