"""A paste is text, no key is pressed by it; an escape sequence is none, nothing is typed by it."""

from collections.abc import Sequence
from itertools import pairwise
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from textual._ansi_sequences import ANSI_SEQUENCES_KEYS
from textual._xterm_parser import XTermParser
from textual.events import Key, Paste

from domain.build.actions import add, applied
from domain.build.start import start_build
from tests.tui.driving import reopened, stored
from tests.tui.terminal import Terminal
from tui.paste import CUT_WAIT_S, ESCAPE, WAIT_S, PasteParser, pasted_text
from tui.widgets.cell_text import typed

BEGIN, END = "\x1b[200~", "\x1b[201~"
"""Around a paste: bracketed paste mode of xterm's control sequences (XTerm Control Sequences,
"Bracketed Paste Mode"; from memory)."""


def cut_at(text: str, places: Sequence[int]) -> list[str]:
    """The text in pieces, cut at these places."""
    edges = sorted({0, len(text), *(place % (len(text) + 1) for place in places)})
    return [text[start:end] for start, end in pairwise(edges)]


awkward = st.text(
    st.sampled_from(list("ab ;1[]OP~m\\\x00\x07\t\n\r\x18\x1b\x7f\x9b\x9d")), max_size=40
).filter(lambda text: END not in text + END[:-1])


@settings(max_examples=60, deadline=None)
@given(awkward, st.lists(st.integers(0, 100), max_size=6))
def test_however_it_is_cut_only_the_keys_around_it_are_pressed(
    text: str, places: list[int]
) -> None:
    parser = PasteParser()
    pieces = cut_at(f"x{BEGIN}{text}{END}y", places)
    events = [event for piece in pieces for event in parser.feed(piece)]
    assert [event.key for event in events if isinstance(event, Key)] == ["x", "y"]
    (pasted,) = [event.text for event in events if isinstance(event, Paste)]
    assert pasted == pasted_text(text)
    assert not set(pasted) & {*map(chr, range(32)), *map(chr, range(127, 160))} - set("\t\n\r")


def test_text_stays_and_sequences_go() -> None:
    assert pasted_text("a\tb\r\nc é 漢") == "a\tb\r\nc é 漢"
    assert pasted_text("\x1b[31mred\x1b[0m \x1b]0;title\x07end\x1bOP!") == "red end!"
    # One that never ends takes nothing else with it.
    assert pasted_text("\x1b]0;name") == "0;name"


def test_a_key_goes_through_where_no_paste_is() -> None:
    parser = PasteParser()
    events = [*parser.feed("\x1b[20"), *parser.feed("~\x18")]
    assert [event.key for event in events if isinstance(event, Key)] == ["f9", "ctrl+x"]


KEYS = [
    sequence
    for sequence, keys in ANSI_SEQUENCES_KEYS.items()
    if isinstance(keys, tuple) and sequence[1:] not in ("", ESCAPE)
]
"""Every key that Textual knows by one sequence; of escape and another key it makes two."""

NOT_KEYS = (
    "\x1b[?62;22c", "\x1b[?64;1;2;6;9;15;16;17;18;21;22;28;29c", "\x1b[>41;370;0c", "\x1b[0n",
    "\x1b]11;rgb:0000/0000/0000\x1b\\", "\x1b]4;1;rgb:cc/00/00\x07", "\x1bP>|term(370)\x1b\\",
    "\x1b_Gi=31;OK\x1b\\", "\x1b[99~", "\x1b[8;24;80t", "\x1b[?1;2$y", "\x1b[M !!",
)  # fmt: skip
"""What terminals answer to programs, and keys that nobody knows."""


def heard(*pieces: str) -> list[str]:
    """The keys that come of what a terminal sends in these pieces."""
    parser = PasteParser()
    events = [event for piece in pieces for event in parser.feed(piece)]
    return [event.key for event in events if isinstance(event, Key)]


def test_each_key_is_taken_whole_however_soon_the_next_one_comes() -> None:
    for sequence in KEYS:
        alone = [*XTermParser().feed(sequence)]
        each = [event.key for event in alone if isinstance(event, Key)]
        assert heard(f"{sequence}x{sequence}{sequence}") == [*each, "x", *each, *each], sequence


def test_alt_with_any_sign_is_a_key_at_once_and_types_nothing() -> None:
    for sign in "0123456789dewz":
        key = f"alt+{sign}"
        assert heard(f"\x1b{sign}\x1bOQ\x1b{sign}4") == [key, "f2", key, "4"]
    parser = PasteParser()
    events = [*parser.feed("\x1b1\x1bD\x1b,\x1b[\x1b]\x1bO\x1b")]
    keys = [event for event in events if isinstance(event, Key)]
    assert [key.key for key in keys] == [
        "alt+1", "alt+shift+d", "alt+comma", "alt+left_square_bracket",
        "alt+right_square_bracket", "alt+shift+o",
    ]  # fmt: skip
    assert not any(typed(key.key, key.character) or key.is_printable for key in keys)


def test_escape_and_what_follows_at_once_are_two_keys() -> None:
    assert heard("\x1b\r\x1b\x1b[A\x1b\x1b\x1b1") == [
        "escape", "enter", "escape", "up", "escape", "escape", "alt+1",
    ]  # fmt: skip


@pytest.mark.parametrize("sequence", NOT_KEYS)
def test_what_is_no_key_presses_none(sequence: str) -> None:
    assert heard(f"x{sequence}{sequence}y") == ["x", "y"]


def test_signs_and_alt_in_the_newer_notation_of_keys_are_taken() -> None:
    assert heard("\x1b[97;1u\x1b[49;3u\x1b[50;3u\x1b[27u") == ["a", "alt+1", "alt+2", "escape"]


@settings(max_examples=100, deadline=None)
@given(
    st.lists(st.sampled_from([*NOT_KEYS, *KEYS, "\x1b1", "\x1b[<0;5;5M"]), max_size=8),
    st.lists(st.integers(0, 200), max_size=6),
)
def test_no_sequence_is_ever_text(sequences: list[str], places: list[int]) -> None:
    parser = PasteParser()
    pieces = cut_at(f"x{''.join(sequences)}y", places)
    events = [event for piece in pieces for event in parser.feed(piece)]
    keys = [event for event in events if isinstance(event, Key)]
    assert "".join(str(k.character) for k in keys if typed(k.key, k.character)) == "xy"


@pytest.mark.parametrize("begun", ["\x1b[", "\x1b[1;", "\x1bO", "\x1b]11;rgb:00", "\x1b]1;a\x1b"])
def test_of_what_a_slow_line_has_cut_off_nothing_is_typed(begun: str) -> None:
    parser = PasteParser()
    events = [*parser.feed(begun)]
    parser._came -= WAIT_S
    assert [*events, *parser.tick()] == []  # its rest may still come
    parser._came -= CUT_WAIT_S
    events = [*parser.tick(), *parser.feed("4\r")]
    keys = [event for event in events if isinstance(event, Key)]
    assert [key.key for key in keys][-2:] == ["4", "enter"]
    assert "".join(str(k.character) for k in keys if typed(k.key, k.character)) == "4"


def test_keys_behind_an_answer_without_end_are_pressed() -> None:
    assert heard("\x1b]11;rgb:00\rab", "\x1b[1\x7f4", "\x1bP1\x1bOQ") == [
        "enter", "a", "b", "backspace", "4", "f2",
    ]  # fmt: skip


def test_pages_turned_in_one_burst_change_no_cell_on_a_terminal(tmp_path: Path) -> None:
    """As a slow line sends them: F2, alt+1, F2, again and again, all at once."""
    path = tmp_path / "store.db"
    build = start_build()
    build = applied(build, add(build, "amplifiers", name="Sub"))
    key = stored(path, build)
    with Terminal(path, "open", str(key)) as terminal:
        terminal.until("saved")
        terminal.send(b"\x1bOQ")  # F2
        terminal.until("Head unit")
        terminal.send(b"\x1bOQ\x1b1\x1bOQ\x1b2\x1b1\x1b2\x1b1\x1bOQ\x1b3\x1b?62c\x1b2\x11")
        assert terminal.ended() == 0
    assert reopened(path, key) == build


def test_keys_in_a_paste_do_nothing_on_a_terminal(tmp_path: Path) -> None:
    """The bytes that a terminal sends, ctrl+x (remove) and ctrl+q (leave) among them."""
    path = tmp_path / "store.db"
    build = start_build()
    build = applied(build, add(build, "amplifiers", name="Sub"))
    build = applied(build, add(build, "amplifiers", name="Front"))
    key = stored(path, build)
    with Terminal(path, "open", str(key)) as terminal:
        terminal.until("saved")
        terminal.send(b"\x1bOQ")  # F2
        terminal.until("Front")
        terminal.send(b"\r")  # the form of the amplifier
        terminal.send(f"{BEGIN}Am\x1b[31mp\x18 \x1b\x11one{END}\r".encode())
        terminal.until("rev 1")
        terminal.send(b"\x1b[A")  # up
        noise = "\x1b[31m\x00\x07\x18" * 20_000
        terminal.send(f"{BEGIN}{noise}Amp two{END}\r".encode())
        terminal.until("rev 2")
        terminal.send(b"\x11")
        assert terminal.ended() == 0
    names = [amplifier.name for amplifier in reopened(path, key).amplifiers]
    assert names == ["Amp two", "Front"]
