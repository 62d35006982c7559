"""The harness on paper, read back by another library: lengths 1:1, words, pages, refusals."""

from functools import cache
from typing import Any

import pytest

from domain.build.edits import SetField, apply
from domain.build.records import Build
from domain.evaluate import make_plan
from domain.full_results import full_results
from storage.errors import TransferError
from storage.pack.pack import pack_files
from tests.domain.routes.vehicles import estate, random_vehicle
from tests.storage.pack.measuring import drawn, open_pdf


@cache
def files(build: Build, **more: Any) -> dict[str, bytes]:
    plan = make_plan(build)
    given = {"paper": "a4", "only": frozenset({"harness"}), **more}
    return pack_files(plan, full_results(plan), **given)


def set_to(build: Build, table: str, id: str, field: str, value: Any) -> Build:
    return apply(build, SetField(table=table, id=id, field=field, value=value))[0]


def words(content: bytes) -> str:
    return "\n".join(page.get_text() for page in open_pdf(content))


def board(build: Build) -> Any:
    found = files(build, harness_on="full")
    (name,) = [name for name in found if name.endswith("-harness-full-size.pdf")]
    return open_pdf(found[name])


def test_the_page_has_every_section_place_and_caution_once() -> None:
    build = set_to(estate(), "sections", "y2", "fuel", True)
    build = set_to(build, "sections", "y4", "length_m", None)
    (content,) = files(build).values()
    told = words(content)
    for place in ("Post", "Firewall", "Sill", "Trunk floor", "Side panel"):
        assert place in told
    assert told.count("CAUTION: fuel or brake line") == 1
    assert "?" in told
    assert "Pulled in this order" in told


def test_full_size_lines_are_as_long_as_the_sections() -> None:
    """Read back in millimetres by another library."""
    build = set_to(estate(), "sections", "y2", "length_m", 1.25)
    document = board(build)
    assert len(document) == 1
    lines = [p for p in drawn(document[0]) if abs(p.weight - 1.2) < 1e-3]
    level = [p for p in lines if abs(p.box[3] - p.box[1]) < 1e-3]
    lengths = sorted(p.length for p in level)
    assert lengths == pytest.approx([800, 1000, 1250, 1500], abs=0.05)
    starts = sorted(p.box[0] for p in level)
    assert [at - starts[0] for at in starts] == pytest.approx([0, 1000, 2250, 3750], abs=0.05)
    bar = max(p.box[2] - p.box[0] for p in drawn(document[0]) if p.filled)
    assert bar == pytest.approx(1000, abs=0.05)


def test_what_is_longer_than_a_page_goes_on_on_the_next() -> None:
    document = board(estate())  # 5.8 m
    assert len(document) == 2
    assert "Sheet 1 of 2" in document[0].get_text()
    for page in document:
        assert page.rect.width * 25.4 / 72 <= 5080
    marks = [
        [p.box[0] for p in drawn(page) if abs(p.weight - 0.2) < 1e-3 and p.length > 60]
        for page in document
    ]
    wires = [min(p.box[0] for p in drawn(page) if abs(p.weight - 1.2) < 1e-3) for page in document]
    # Seen from the same point of the harness, both pages have the mark at the same place.
    assert marks[0][0] - wires[0] == pytest.approx(marks[1][0] - wires[1], abs=0.05)


def test_one_that_cannot_be_drawn_is_refused_in_a_sentence() -> None:
    plain = estate().but(sections=())
    with pytest.raises(TransferError, match="no harness to draw: name places"):
        files(plain, harness_on="full")
    with pytest.raises(TransferError, match="choose from full"):
        files(estate(), harness_on="half")
    long = estate()
    for section in long.sections:
        long = set_to(long, "sections", section.id, "length_m", 100.0)
    with pytest.raises(TransferError, match="look for a length that is wrong"):
        files(long, harness_on="full")


def test_it_is_in_the_pack_where_there_are_sections_and_only_there() -> None:
    def outline(build: Build) -> list[str]:
        found = files(build, only=None)
        content = next(text for name, text in found.items() if name.endswith("-a4.pdf"))
        return [entry[1] for entry in open_pdf(content).get_toc() if entry[0] == 1]

    assert "Harness" in outline(estate())
    assert "Harness" not in outline(estate().but(sections=()))


@pytest.mark.parametrize("seed", range(12))
def test_rings_and_pieces_are_drawn_too(seed: int) -> None:
    from random import Random

    build = random_vehicle(Random(seed))
    (content,) = files(build).values()
    assert len(open_pdf(content)) >= 1
