"""Sheets cover the pattern, overlap as they should, and are as few as either way allows."""

from math import ceil

import pytest
from hypothesis import given
from hypothesis import strategies as st

from storage.pack.tiles import CLEAR, FOOT, MARGIN, OVERLAP, PAPERS, SIDE, lay_tiles

sizes = st.floats(1, 5000)


@given(sizes, sizes, st.sampled_from(sorted(PAPERS)))
def test_sheets_cover_the_pattern_and_overlap(width: float, height: float, paper: str) -> None:
    tiling = lay_tiles(width, height, paper)
    tiles = list(tiling.tiles())
    assert len(tiles) == tiling.sheets
    right = max(tile.x for tile in tiles) + tiling.window_width
    top = max(tile.y for tile in tiles) + tiling.window_height
    assert min(tile.x for tile in tiles) <= -CLEAR + 1e-6
    assert min(tile.y for tile in tiles) <= -CLEAR + 1e-6
    assert right >= width + CLEAR - 1e-6
    assert top >= height + CLEAR - 1e-6
    by_place = {(tile.row, tile.column): tile for tile in tiles}
    for (row, column), tile in by_place.items():
        beside = by_place.get((row, column + 1))
        if beside:
            assert tile.x + tiling.window_width - beside.x == pytest.approx(OVERLAP)
        under = by_place.get((row + 1, column))
        if under:
            assert under.y + tiling.window_height - tile.y == pytest.approx(OVERLAP)


@given(sizes, sizes, st.sampled_from(sorted(PAPERS)))
def test_no_other_way_round_needs_fewer(width: float, height: float, paper: str) -> None:
    """Second method: count for both ways by filling from the left."""

    def filled(size: float, window: float) -> int:
        count, covered = 1, window
        while covered < size + 2 * CLEAR - 1e-9:
            count, covered = count + 1, covered + window - OVERLAP
        return count

    short, long = PAPERS[paper]
    ways = []
    for page_x, page_y in ((short, long), (long, short)):
        across, up = page_x - 2 * MARGIN - SIDE, page_y - 2 * MARGIN - FOOT
        ways.append(filled(width, across) * filled(height, up))
    assert lay_tiles(width, height, paper).sheets == min(ways)


def test_paper_sizes() -> None:
    """ANSI/ASME Y14.1 size A is 8.5 x 11 in; ISO 216 A4 is 210 x 297 mm."""
    assert PAPERS["letter"] == pytest.approx((8.5 * 25.4, 11 * 25.4))
    assert PAPERS["a4"] == (210, 297)
    assert ceil(lay_tiles(10, 10, "a4").page_width) == 210
