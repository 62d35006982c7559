"""A paste is text: whatever is in it, no key is pressed by it."""

from collections.abc import Sequence
from itertools import pairwise
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st
from textual.events import Key, Paste

from domain.build.actions import add, applied
from domain.build.start import start_build
from tests.tui.driving import reopened, stored
from tests.tui.terminal import Terminal
from tui.paste import PasteParser, pasted_text

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
