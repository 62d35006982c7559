"""Where pages end: nothing is left over alone on the next one.

The rule is the compositor's against widows and orphans (common practice).
"""

from random import Random

import pytest
from reportlab.platypus import LongTable

from domain.fabrication.steps import steps
from storage.pack.pages import TOP
from storage.pack.table.grid import CellStyle, Grid, Line
from tests.storage.pack.builds import builds
from tests.storage.pack.measuring import MM
from tests.storage.pack.test_pack_pages import FOOT_MM, NAMES, pdf, text_of

LEAST_MM = 18.0
"""A table's headings and three of its rows of one line."""


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("name", NAMES[:4])
def test_no_page_goes_on_with_next_to_nothing(name: str, paper: str) -> None:
    document = pdf(name, paper)
    starts = {entry[2] for entry in document.get_toc()}
    for number, page in enumerate(document, 1):
        if number in starts or page.rect.width > page.rect.height:
            continue
        bottom = page.rect.height * MM - FOOT_MM
        ends = [word[3] * MM for word in page.get_text("words") if word[3] * MM < bottom]
        assert max(ends) > TOP + LEAST_MM, (name, paper, number)


@pytest.mark.parametrize("paper", ["a4", "letter"])
@pytest.mark.parametrize("name", NAMES[:3])
def test_the_signature_stands_below_steps(name: str, paper: str) -> None:
    page = next(page for page in pdf(name, paper) if "Done by:" in page.get_text())
    assert page.get_text().count("\n") > 10
    assert "Show the customer where the main fuse is" in page.get_text()


@pytest.mark.parametrize(
    ("name", "paper", "title", "group", "rows"),
    [
        ("hatchback", "a4", "Bill of materials", "Consumables", ("Abrasive disc", "Wire label")),
        ("estate_car", "letter", "Work order", "Hand over", ("Covers on", "Show the", "Done by")),
    ],
)
def test_the_last_group_of_a_table_stays_together(
    name: str, paper: str, title: str, group: str, rows: tuple[str, ...]
) -> None:
    pages = [page.get_text() for page in pdf(name, paper)]
    page = next(text for text in pages if f"\n{title}\n" in text and f"\n{group}\n" in text)
    assert all(row in page for row in rows)


def test_a_sentence_ends_before_the_stop_that_follows_it() -> None:
    text = text_of("hatchback", "Run schedule")
    assert "black.STOP:Ampground" in text
    assert "red.STOP:Mainrun" in text


def test_a_flat_part_is_not_said_to_be_folded() -> None:
    # the estate car's board is a plate, the hatchback's ledge has one bend
    for name, bent in (("estate_car", False), ("hatchback", True)):
        text = text_of(name, "Custom parts")
        assert ("folded" in text) == bent
        assert ("Folded,nottoscale" in text) == bent
        assert ("comestowardsyou" in text) == bent


def test_wood_is_not_sawn_as_plastic_is() -> None:
    # common practice: friction melts plastic; wood does not melt
    for name, plastic in (("estate_car", False), ("hatchback", True), ("camper_van", False)):
        build = builds()[name]
        said = " ".join(step.speed for step in steps(build, build.parts[0]))
        assert ("welds plastic" in said) == plastic


@pytest.mark.parametrize("seed", range(40))
def test_rows_part_where_the_library_s_own_table_does(seed: int) -> None:
    # second method: the library's table with the same heights and rows that stay together
    chance = Random(seed)
    count, heads = chance.randint(1, 30), chance.choice([0, 1])
    heights = [float(chance.randint(9, 30)) for _ in range(count)]
    blocks = [(at, at + chance.randint(1, 3)) for at in range(heads, count, chance.randint(4, 9))]
    blocks = [(first, last) for first, last in blocks if last < count]
    together = {row for first, last in blocks for row in range(first, last)}
    styles = (CellStyle("Helvetica", 9, 11, 0),)
    rows = [Line((f"{n}",), styles, high, (), n in together) for n, high in enumerate(heights)]
    ours: list[Grid] = [Grid(rows, [100.0], heads, before=3, after=5)]
    theirs = [
        LongTable(
            [[f"{n}"] for n in range(count)],
            colWidths=[100.0],
            rowHeights=heights,
            repeatRows=heads,
            style=[("NOSPLIT", (0, first), (0, last)) for first, last in blocks],
            spaceBefore=3,
            spaceAfter=5,
        )
    ]
    for _ in range(6):
        room = chance.uniform(20, 200)
        parted, expected = ours.pop().split(100, room), theirs.pop().split(100, room)
        assert [[row.cells[0] for row in part.rows] for part in parted] == [
            [row[0] for row in part._cellvalues] for part in expected
        ]
        for part, other in zip(parted, expected, strict=True):
            assert part.wrap(100, room) == pytest.approx(other.wrap(100, room))
            spaces = [(each.getSpaceBefore(), each.getSpaceAfter()) for each in (part, other)]
            assert spaces[0] == spaces[1]
        if not parted:
            break
        ours, theirs = parted, expected
