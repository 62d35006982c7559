"""Rules of one line each, by definition or a published figure that stands beside it."""

import dataclasses

import pytest
from msgspec.structs import replace

from demo_db.load import demo_builds
from domain.build.changes import changes
from domain.build.choices import Insulation, Metal
from domain.build.edits import Batch, MoveRecord, SetField, apply
from domain.build.start import start_build
from domain.cable.cutting_stock import Stock, pack
from domain.electrical.protection.proofs import burns_from_a
from domain.electrical.protection.withstand import Wire
from domain.evaluate import evaluate
from domain.money.operations import operation_counts
from domain.money.quote_text import WIDTH, _wrapped
from domain.visible_text import visible


@pytest.mark.parametrize("char", [chr(0xD800), chr(0xDFFF), chr(0x202E), chr(0x9B)])
def test_what_no_terminal_should_be_sent_is_shown_as_such(char: str) -> None:
    # Unicode 15, 23.6: half of a surrogate pair is no character; U+202E turns text round
    assert visible(f"a{char}b") == "a\ufffdb"


def test_a_part_made_twice_is_cut_twice() -> None:
    build = next(build for _, build in demo_builds() if build.parts)
    sheet = evaluate(build)
    part = sheet.parts[0]
    counts = operation_counts(build, sheet)
    more = dataclasses.replace(
        sheet, parts=(replace(part, quantity=part.quantity + 2), *sheet.parts[1:])
    )
    panels = sum(panel.part == part.id for panel in build.panels)
    assert panels
    assert operation_counts(build, more)["panel"] - counts["panel"] == 2 * panels
    assert operation_counts(build, more)["fit_part"] - counts["fit_part"] == 2
    assert operation_counts(build, more)["part"] == counts["part"]


def test_lines_under_an_item_are_set_in() -> None:
    word = "x" * 9
    item, plain = (list(_wrapped(start + " ".join([word] * 30))) for start in ("- ", ""))
    assert all(line.startswith("  ") for line in item[1:])
    assert not any(line.startswith(" ") for line in plain)
    assert max(map(len, [*item, *plain])) <= WIDTH


def test_a_row_that_was_moved_is_told_as_moved() -> None:
    build = start_build()
    zones = [zone.id for zone in build.zones]
    edit = Batch(edits=(MoveRecord(table="zones", id=zones[-1], index=0),), label="move")
    _, inverse = apply(build, edit)
    assert [(c.what, c.table, c.id) for c in changes(edit, inverse)] == [
        ("moved", "zones", zones[-1])
    ]
    named = SetField(table="zones", id=zones[0], field="name", value="Sill")
    assert [c.what for c in changes(named, apply(build, named)[1])] == ["set"]


@pytest.mark.parametrize(("pieces", "length"), [([0], 1000), ([-5], 1000), ([10], 0)])
def test_what_has_no_length_is_not_cut(pieces: list[int], length: int) -> None:
    with pytest.raises(ValueError, match="must have a length"):
        pack(pieces, [Stock(length, 100)])


def test_pieces_without_any_stock_are_too_long() -> None:
    found = pack([500, 1], [])
    assert found.too_long == (0, 1)
    assert found.cuts == ()


def test_the_shortest_piece_is_cut() -> None:
    # by hand: 1 mm fits into what 999 mm leave of a metre
    found = pack([1, 999], [Stock(1000, 7)])
    assert (len(found.cuts), found.cost, found.too_long) == (1, 7, ())


@pytest.mark.parametrize(
    ("ambient_c", "times"),
    [
        # By hand: a wire of class 105 C that ends at 150 C heats with the square of its current.
        # At 40 C it ends at sqrt(110/65) = 1.301 times what it carries: below 33 CFR 183.455's 1.5
        (40.0, (110 / 65) ** 0.5),
        # At 80 C at sqrt(70/25) = 1.67 times: there the 150 percent decide
        (80.0, 1.5),
    ],
)
def test_a_wire_is_stopped_from_the_lower_of_two_limits(ambient_c: float, times: float) -> None:
    insulation = next(i for i in Insulation if "105" in i.value)
    wire = Wire(16.0, Metal.COPPER, insulation, 100.0, ambient_c, 105.0)
    limit = (wire.lasting_a / 100.0) ** 2 * (105.0 - ambient_c) + ambient_c
    assert limit > 105.0
    own = ((limit - ambient_c) / (105.0 - ambient_c)) ** 0.5
    assert burns_from_a(wire) == pytest.approx(100.0 * min(own, 1.5))
    assert own == pytest.approx(times, abs=0.12) or (own > 1.5 and times == 1.5)
