"""A bracket by keys, from nothing: what it carries, what holds it, its template, its pair."""

from pathlib import Path

import pytest

from domain.build.choices import Into
from domain.evaluate import evaluate
from domain.findings import Level
from tests.tui.driving import SIZES, press, reopened, running, screen_text, strokes

BRACKET = (
    "ctrl+n", "enter",                     # a new build; it has a main run with a fuse
    "f6", "ctrl+n", "down", "enter",       # custom parts: an L
    "alt+c", "end", "enter",               # it carries the fuse holder of the main run
    "0.5lb", "enter",                      # which weighs half a pound
    "alt+o", "3x1.5", "enter",             # with four screws
    "f6", "alt+s", "enter",                # and is screwed to the body with two, nuts behind
)  # fmt: skip
TEMPLATE = ("ctrl+l", "enter")
MIRRORED = ("alt+m",)


def test_takes_no_more_keys_than_it_should() -> None:
    # The bounds are the product's own aim.
    assert strokes(BRACKET) <= 60
    assert strokes(TEMPLATE) <= 2
    assert strokes(MIRRORED) <= 3


@pytest.mark.parametrize("size", SIZES)
async def test_bracket(
    tmp_path: Path, size: tuple[int, int], monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "store.db"
    monkeypatch.chdir(tmp_path)
    async with running(path, size) as pilot:
        await press(pilot, *BRACKET)
        shown = screen_text(pilot)
        await press(pilot, *MIRRORED)
        both = screen_text(pilot)
        await press(pilot, *TEMPLATE)
        written = screen_text(pilot)
    build = reopened(path)
    (part,), (fixing,) = build.parts, build.fixings
    main = next(run for run in build.runs if run.name == "Main run")
    assert part.carries == main.id
    assert fixing.into is Into.PANEL_NUT
    carried = next(each for each in build.footprints if each.device == main.id)
    assert carried.mass_kg == pytest.approx(0.5 * 0.45359237)
    above = [stud for stud in build.studs if stud.footprint == carried.id]
    behind = [hole for hole in build.holes if hole.fixing == fixing.id]
    assert (len(above), len(behind)) == (4, 2)
    assert {h.panel for h in behind}.isdisjoint({m.panel for m in build.mounts})
    sheet = evaluate(build)
    result = sheet.parts[0]
    assert result.strength is not None
    assert all(screw.margin and screw.margin > 1 for screw in result.strength.screws)
    assert not [f for f in sheet.findings if f.table in ("parts", "holes", "panels", "mounts")
                and f.level is not Level.NOTE]  # fmt: skip
    assert part.both_hands
    assert result.quantity == 2
    assert "screw" in shown
    assert "right hand" in both
    assert "template" in written.casefold()


@pytest.mark.parametrize("size", SIZES)
async def test_what_was_done_and_what_comes_next_is_told_in_full(
    tmp_path: Path, size: tuple[int, int]
) -> None:
    async with running(tmp_path / "store.db", size) as pilot:
        await press(pilot, *BRACKET[: BRACKET.index("end")], "end", "enter")
        told = " ".join(screen_text(pilot).split())
        assert "Enter its mass and sizes; alt+o puts its screws in" in told


@pytest.mark.parametrize("size", SIZES)
async def test_a_question_stays_until_its_answer_can_be_taken(
    tmp_path: Path, size: tuple[int, int]
) -> None:
    path = tmp_path / "store.db"
    async with running(path, size) as pilot:
        await press(pilot, *BRACKET[: BRACKET.index("alt+o")], "alt+o", "garbage", "enter")
        shown = screen_text(pilot)
        assert "one number: two screws" in " ".join(shown.split())  # the question, whole
        assert "! 'garbage' cannot be read" in shown
        assert not reopened(path).studs
        await press(pilot, *("backspace",) * 7, "3x1.5", "enter")
    assert len(reopened(path).studs) == 4
