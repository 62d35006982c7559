"""Cut list on stock sheets: nothing lost, nothing overlapping, the kerf kept."""

from collections import Counter
from itertools import combinations
from math import inf
from random import Random
from typing import Any

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from domain.build.choices import UnitHabit
from domain.build.records import Build
from domain.fabrication.materials.sheet_materials import material, material_names
from domain.fabrication.materials.stock import SheetSize, sheet_sizes
from domain.fabrication.nesting import sheet_layout
from domain.fabrication.nesting.blanks import Blank, CutSheet, Nest, Placed
from domain.fabrication.nesting.cut_sheets import cut_lists
from domain.fabrication.nesting.sheet_layout import nest
from domain.fabrication.parts import fabricate

geometry: Any = shapely
"""The library has no types of its own."""

SHEET = SheetSize("48 x 96 in", 1.2192, 2.4384)
SMALL = SheetSize("24 x 24 in", 0.6096, 0.6096)


def check(found: Nest, blanks: list[Blank]) -> None:
    """A geometry library's word: inside the sheet, a kerf apart, every piece there."""
    for sheet in found.sheets:
        whole = geometry.box(0, 0, sheet.size.width_m, sheet.size.length_m).buffer(1e-6)
        shapes = [
            geometry.box(p.x_m, p.y_m, p.x_m + p.width_m, p.y_m + p.length_m) for p in sheet.blanks
        ]
        assert all(whole.contains(shape) for shape in shapes)
        tree = geometry.STRtree(
            [shape.buffer(found.kerf_m, join_style="mitre") for shape in shapes]
        )
        for i, shape in enumerate(shapes):
            near = [k for k in tree.query(shape.buffer(-1e-6)) if k != i]
            for k in near:
                gap = max(
                    max(shape.bounds[0], shapes[k].bounds[0])
                    - min(shape.bounds[2], shapes[k].bounds[2]),
                    max(shape.bounds[1], shapes[k].bounds[1])
                    - min(shape.bounds[3], shapes[k].bounds[3]),
                )
                assert gap >= found.kerf_m - 2e-6
    wanted = Counter({blank.id: blank.quantity for blank in blanks})
    wanted.subtract(Counter(p.id for sheet in found.sheets for p in sheet.blanks))
    wanted.subtract(Counter({blank.id: blank.quantity for blank in found.too_large}))
    assert set(wanted.values()) <= {0}
    sizes = {blank.id: (blank.width_m, blank.length_m) for blank in blanks}
    for sheet in found.sheets:
        for p in sheet.blanks:
            w, h = sizes[p.id]
            assert (p.width_m, p.length_m) == ((h, w) if p.turned else (w, h))


def cuts_straight(sheet: CutSheet) -> bool:
    """The sheet can be cut up by cuts right across, by trying every line between pieces."""

    def apart(pieces: list[Placed]) -> bool:
        if len(pieces) <= 1:
            return True
        for across in (True, False):
            spans = sorted(
                ((p.x_m, p.x_m + p.width_m, p) if across else (p.y_m, p.y_m + p.length_m, p)
                 for p in pieces),
                key=lambda span: span[0],
            )  # fmt: skip
            reach = spans[0][1]
            for k, (low, high, _) in enumerate(spans):
                if k and low >= reach - 1e-9:
                    return apart([p for *_, p in spans[:k]]) and apart([p for *_, p in spans[k:]])
                reach = max(reach, high)
        return False

    return apart(list(sheet.blanks))


def random_blanks(seed: int, count: int) -> list[Blank]:
    chance = Random(seed)
    return [
        Blank(f"p{i}", chance.uniform(0.03, 0.6), chance.uniform(0.03, 0.5), grain=i % 5 == 0)
        for i in range(count)
    ]


@pytest.mark.parametrize("straight", [True, False])
def test_forty_parts_with_progress(straight: bool) -> None:
    blanks = random_blanks(7, 40)
    calls: list[tuple[int, int]] = []
    found = nest(
        blanks,
        [SMALL, SHEET],
        straight_cuts=straight,
        progress=lambda done, total: calls.append((done, total)),
    )
    check(found, blanks)
    assert calls[-1][0] == calls[-1][1]
    assert [done for done, _ in calls] == list(range(1, len(calls) + 1))
    # lower bound by area: at most 40 % more sheet than blanks
    assert found.bought_m2 < 1.4 * found.used_m2
    assert found.waste == pytest.approx(1 - found.used_m2 / found.bought_m2)


@settings(max_examples=40, deadline=None)
@given(
    sides=st.lists(
        st.tuples(st.floats(0.01, 2.0), st.floats(0.01, 2.0), st.integers(1, 9), st.booleans()),
        max_size=6,
    ),
    kerf=st.sampled_from([0.0, 0.0032, 0.02]),
    straight=st.booleans(),
)
def test_any_blanks(
    sides: list[tuple[float, float, int, bool]], kerf: float, straight: bool
) -> None:
    blanks = [Blank(f"p{i}", w, h, n, grain) for i, (w, h, n, grain) in enumerate(sides)]
    found = nest(blanks, [SMALL, SHEET], kerf, straight)
    check(found, blanks)
    for blank in found.too_large:
        assert max(blank.width_m, blank.length_m) > 1.2192
    grained = {blank.id for blank in blanks if blank.grain}
    assert not any(p.turned and p.id in grained for s in found.sheets for p in s.blanks)
    if straight:
        assert all(cuts_straight(sheet) for sheet in found.sheets)


def test_same_parts_give_the_same_layout() -> None:
    blanks = random_blanks(3, 25)
    assert nest(blanks, [SMALL, SHEET]) == nest(blanks, [SMALL, SHEET])


@pytest.mark.parametrize("straight", [True, False])
@pytest.mark.parametrize("seed", range(6))
def test_what_has_lost_is_not_laid_to_its_end(
    seed: int, straight: bool, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The same layout as with every try laid to its end, in fewer sheets filled."""
    blanks = [replace(b, id=b.id + side) for b in random_blanks(seed, 9) for side in "ab"]
    filled = [0]
    fill = sheet_layout._fill

    def counted(*args: Any, **named: Any) -> Any:
        filled[0] += 1
        return fill(*args, **named)

    monkeypatch.setattr(sheet_layout, "_fill", counted)
    sheet = material("aluminium 5052-H32")
    assert sheet is not None
    sizes = sheet_sizes(sheet, UnitHabit.INCH)
    found = nest(blanks, sizes, straight_cuts=straight)
    few, filled[0] = filled[0], 0
    monkeypatch.setattr(sheet_layout, "_worth", lambda score: inf)
    monkeypatch.setattr(sheet_layout, "_alike", lambda blanks: range(len(blanks)))
    assert nest(blanks, sizes, straight_cuts=straight) == found
    assert few < 0.8 * filled[0]


def test_part_larger_than_any_sheet_is_a_result() -> None:
    blanks = [Blank("p1", 3.0, 0.2), Blank("p2", 0.2, 0.2)]
    found = nest(blanks, [SMALL, SHEET])
    assert [blank.id for blank in found.too_large] == ["p1"]
    assert [p.id for sheet in found.sheets for p in sheet.blanks] == ["p2"]
    assert nest([blanks[0]], []).too_large == (blanks[0],)
    assert nest([], [SHEET]).sheets == ()
    assert nest([], [SHEET]).waste == 0


def test_a_part_just_the_sheet_s_size_fits_without_a_kerf_round_it() -> None:
    found = nest([Blank("p1", SMALL.width_m, SMALL.length_m, 2)], [SMALL])
    assert len(found.sheets) == 2
    assert found.waste == pytest.approx(0)


def test_smallest_sheet_that_will_do() -> None:
    found = nest([Blank("p1", 0.3, 0.3)], [SHEET, SMALL])
    assert [sheet.size for sheet in found.sheets] == [SMALL]


def test_grain_is_never_turned() -> None:
    long = Blank("p1", 1.5, 0.3, 1, True)
    assert nest([long], [SHEET]).too_large == (long,)
    assert nest([Blank("p1", 1.5, 0.3)], [SHEET]).sheets[0].blanks[0].turned


def test_broken_off_keeps_a_whole_layout() -> None:
    blanks = random_blanks(5, 40)
    asked = iter(range(1000))
    found = nest(blanks, [SHEET], cancelled=lambda: next(asked) > 100)
    assert not found.finished
    check(found, blanks)


def test_thousands_of_pieces() -> None:
    blanks = [Blank(b.id, b.width_m, b.length_m, 200) for b in random_blanks(1, 25)]
    found = nest(blanks, [SHEET])
    assert sum(len(sheet.blanks) for sheet in found.sheets) == 5000
    assert found.waste < 0.25
    a, b = found.sheets[0], found.sheets[-1]
    check(Nest((a, b), (), found.kerf_m), [
        Blank(p.id, *((p.length_m, p.width_m) if p.turned else (p.width_m, p.length_m)), n)
        for p, n in ((p, sum(q.id == p.id for s in (a, b) for q in s.blanks))
                     for p in {q.id: q for s in (a, b) for q in s.blanks}.values())
    ])  # fmt: skip


def test_bad_blanks_and_kerfs_are_refused() -> None:
    with pytest.raises(ValueError, match="width and a length"):
        nest([Blank("p1", 0.0, 0.1)], [SHEET])
    with pytest.raises(ValueError, match="kerf"):
        nest([], [SHEET], -0.001)


def test_every_material_is_sold_in_both_habits() -> None:
    for name, units in ((n, u) for n in material_names() for u in UnitHabit):
        sheet = material(name)
        assert sheet is not None
        sizes = sheet_sizes(sheet, units)
        assert sizes
        assert all(a.area_m2 <= b.area_m2 for a, b in combinations(sizes, 2))


def test_cut_lists_of_a_build() -> None:
    def part(id: str, **more: Any) -> dict[str, Any]:
        return {"id": id, **more}

    build = Build.of(
        {
            "parts": [
                part("p1", material="ABS", quantity=3),
                part("p2", material="plywood", thickness_m=0.012),
                part("p3", material="cheese"),
                part("p4", material="ABS", thickness_m=0.003175),
                part("p5", material="ABS"),
            ],
            "panels": [
                {"id": f"n{k}", "part": f"p{k}", "length_m": 0.2, "width_m": 0.1 * k}
                for k in range(1, 5)
            ],
        }
    )
    calls: list[int] = []
    lists = cut_lists(build, fabricate(build)[0], progress=lambda done, total: calls.append(done))
    assert [(entry.material, entry.stock) for entry in lists] == [
        ("ABS", "1/4 in"),
        ("birch plywood", "1/2 in nominal"),
        ("cheese", None),
        ("ABS", "1/8 in"),
    ]
    assert [len(entry.nest.too_large) for entry in lists] == [0, 0, 1, 0]
    pieces = [sum(len(sheet.blanks) for sheet in entry.nest.sheets) for entry in lists]
    assert pieces == [3, 1, 0, 1]
    assert calls == sorted(calls)
