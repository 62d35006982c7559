"""What is kept of drawn lines and of styles: what is needed of them, and it does the same."""

from pathlib import Path

import pytest
from rich.segment import Segment
from rich.style import Style
from textual.css.stylesheet import Stylesheet
from textual.strip import Strip

from domain.build.actions import add, applied
from domain.build.start import start_build
from tests.tui.driving import build_screen, running, stored
from tui.widgets.grid import Grid
from tui.widgets.kept_sheet import STYLED
from tui.widgets.lean_strips import make_caches_late


def caches(strip: Strip) -> set[str]:
    """The caches that it has by now."""
    found = set()
    for name in Strip.__slots__:
        try:
            made = object.__getattribute__(strip, name)
        except AttributeError:
            continue
        if name.endswith("_cache") and made is not None:
            found.add(name)
    return found


def test_a_strip_makes_a_cache_when_it_keeps_something_there() -> None:
    make_caches_late()
    strip = Strip([Segment("14.4 V", Style(bold=True)), Segment(" at the post")])
    assert caches(strip) == set()
    assert strip.cell_length == 18
    assert strip.text == "14.4 V at the post"
    cut = strip.crop(0, 6)
    assert cut.text == "14.4 V"
    assert strip.crop(0, 6) is cut
    assert caches(strip) == {"_crop_cache"}
    assert [part.text for part in strip.divide([6, 18])] == ["14.4 V", " at the post"]
    assert caches(strip) == {"_crop_cache", "_divide_cache"}
    assert strip.adjust_cell_length(20).text == "14.4 V at the post  "
    assert strip.extend_cell_length(19).cell_length == 19
    assert strip.crop_extend(1, 5, None) is strip.crop_extend(1, 5, None)
    assert strip.apply_style(Style(dim=True)) is strip.apply_style(Style(dim=True))
    with pytest.raises(AttributeError):
        _ = strip.amperes  # type: ignore[attr-defined]


async def test_the_program_makes_no_strips_with_caches(tmp_path: Path) -> None:
    async with running(tmp_path / "store.db"):
        assert caches(Strip([])) == set()


async def test_a_styled_part_of_a_table_keeps_its_style_alone(tmp_path: Path) -> None:
    build = start_build()
    key = stored(tmp_path / "store.db", applied(build, add(build, "amplifiers", name="Front")))
    async with running(tmp_path / "store.db", key=key) as pilot:
        grids = list(build_screen(pilot).query(Grid))
        assert grids
        for grid in grids:
            assert len(grid._component_styles) >= 5
            nodes = [styles.node for styles in grid._component_styles.values()]
            assert {frozenset(vars(node)) for node in nodes} == {STYLED}
            kept = {part: grid.get_component_rich_style(part) for part in grid._component_styles}
            # second way: all of the nodes, as Textual makes them
            Stylesheet._process_component_classes(pilot.app.stylesheet, grid)
            grid._rich_style_cache.clear()
            assert kept == {part: grid.get_component_rich_style(part) for part in kept}
