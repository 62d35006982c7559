"""Lists of amplifiers and lengths, pasted from a spreadsheet or read from a file: all or none."""

from pathlib import Path

import pytest
from textual.events import Paste

from domain.build.actions import applied
from domain.build.amplifier_list import add_amplifiers, cells_of_text
from domain.build.start import start_build
from domain.units.parse import UnitError
from tests.tui.driving import NARROW, press, reopened, running, screen_text, status
from tui.grids.grid_screen import GridScreen


async def test_rows_of_a_spreadsheet_are_pasted(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    async with running(path) as pilot:
        await press(pilot, "ctrl+n", "enter")
        screen = pilot.app.screen
        assert isinstance(screen, GridScreen)
        screen.on_paste(Paste("Front\t4x75\t24\t18\nBass amp\t100x4\t3 ft\n\tx\n"))
        await pilot.pause()
        assert "row 3" in status(pilot)
        assert not reopened(path).amplifiers  # all or none
        screen.on_paste(Paste("Front\t4x75\t24\t18\nBass amp\t100x4\t3 ft\n"))
        await pilot.pause()
        build = reopened(path)
        assert [(a.name, a.channels, a.channel_w) for a in build.amplifiers] == [
            ("Front", 4, 75),
            ("Bass amp", 4, 100),
        ]
        lengths = {(r.source, r.target): r.length_m for r in build.runs if not r.existing}
        assert lengths["d1", "a1"] == pytest.approx(24 * 0.0254)
        assert lengths["a1", "e2"] == pytest.approx(18 * 0.0254)
        assert lengths["d1", "a2"] == pytest.approx(3 * 0.3048)
        assert lengths["a2", "e2"] is None
        await press(pilot, "ctrl+z")
        assert not reopened(path).amplifiers
        await press(pilot, "ctrl+y", "enter")
        # down the column of lengths, past what the vehicle has
        screen.on_paste(Paste("16\n25\n17\n30\n15"))
        await pilot.pause()
        lengths = {(r.source, r.target): r.length_m for r in reopened(path).runs if not r.existing}
        assert lengths == pytest.approx(
            {
                ("b1", "d1"): 16 * 0.3048,
                ("d1", "a1"): 25 * 0.0254,
                ("a1", "e2"): 17 * 0.0254,
                ("d1", "a2"): 30 * 0.0254,
                ("a2", "e2"): 15 * 0.0254,
            }
        )
        screen.on_paste(Paste("1\n2\n3\n4\n5\n6"))
        await pilot.pause()
        assert "6 rows do not fit" in status(pilot)


@pytest.mark.parametrize("end", ["\r", "\r\n", "\n"])
async def test_lines_end_as_a_terminal_sends_them(tmp_path: Path, end: str) -> None:
    # xterm and its kin send what is pasted with carriage returns (XTerm control sequences,
    # bracketed paste: as if typed)
    path = tmp_path / "store.db"
    async with running(path) as pilot:
        await press(pilot, "ctrl+n", "enter")
        screen = pilot.app.screen
        assert isinstance(screen, GridScreen)
        screen.on_paste(Paste(f"Front\t4x90\t3ft{end}Sub\t1x750\t3ft{end}"))
        await pilot.pause()
        assert [a.name for a in reopened(path).amplifiers] == ["Front", "Sub"]
        screen.on_paste(Paste(f'"a\x00{end}b"\t"{"x" * 200_000}{end}'))
        await pilot.pause()
        assert "Nothing was" in status(pilot)


async def test_amplifiers_are_read_from_a_csv_file(tmp_path: Path) -> None:
    path, listed = tmp_path / "store.db", tmp_path / "amps.csv"
    listed.write_text("Watts;Name;Ground;Length\n4x100 + 1x500;Five;0,4 m;1,2 m\n500;Bass;;\n")
    async with running(path) as pilot:
        await press(pilot, "ctrl+n", "enter", "ctrl+p", *"amplifiers from", "enter")
        await press(pilot, *["backspace"] * 200, str(listed), "enter")
        build = reopened(path)
        assert [(a.name, a.channel_w, a.sub_channel_w) for a in build.amplifiers] == [
            ("Five", 100, 500),
            ("Bass", 500, 0),
        ]
        lengths = {(r.source, r.target): r.length_m for r in build.runs}
        assert (lengths["d1", "a1"], lengths["a1", "e2"]) == (1.2, 0.4)
        assert (lengths["d1", "a2"], lengths["a2", "e2"]) == (None, None)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("", "1 to 64 rows"),
        ("a\n", "no power"),
        ("Power,Name\n,x\n", "row 2, column 1: no power"),
        ("Name,Note,Power\nSub,TBD,4 ft\n", "row 2, column 3: '4 ft' is a length"),
        # What stands where a length does is none, whatever is wrong with the power before it.
        ("Sub\tTBD\t4\nMids\t\t75\n", "row 1, column 2: 'TBD' cannot be read; a power is wanted"),
        (
            "Mids\t\t75\n",
            "row 1, column 2: no power; one is wanted such as 4x75 or 500; columns",
        ),
        ("\t\t75\n", "row 1, column 2: no power"),
        ("Sub\tTBD\t2x16\n", "row 1, column 2: 'TBD'"),
        ("Front\t4x75\t3 ft\nSub\tTBD\t500 W\n", "row 2, column 2: 'TBD'"),
        ("Front\t4x75\t3 ft\n500\t3 ft\n", "row 2, column 2: '3 ft' is a length"),
        ("1.200\t3 ft\n", "row 1, column 1: '1.200' is 1.2 W, a channel has at least 5 W"),
        ("Front\tlow\t300 W\nSub\tlow\t4\n", "row 2, column 3: '4' is 4 W"),
        ("Front\tlow\t300 W\nSub\tlow\t40\nMids\tlow\t-", "row 3, column 3: '-'"),
        ("4x75\n" * 65, "1 to 64 rows"),
        ("4x75,1 kg\n", "row 1, column 2"),
        ("Front,4x75,,1 kg\n", "row 1, column 4"),
    ],
)
def test_a_list_that_cannot_be_taken_says_why(text: str, said: str) -> None:
    with pytest.raises(UnitError, match=said):
        add_amplifiers(start_build(), cells_of_text(text))


@pytest.mark.parametrize(
    ("text", "wanted"),
    [
        ("Bass amp\t500\t16 ft\t18 in\n", ("Bass amp", 1, 500, 16 * 0.3048, 18 * 0.0254)),
        ("Bass amp\t4x75\t\t18 in\n", ("Bass amp", 4, 75, None, 18 * 0.0254)),
        ("500\t3 ft\t18 in\n", ("", 1, 500, 3 * 0.3048, 18 * 0.0254)),
        ("\t500\t3 ft\n", ("", 1, 500, 3 * 0.3048, None)),
        ("Front\tdoor\t2x75 W\t3 ft\n", ("Front door", 2, 75, 3 * 0.3048, None)),
        ("Power\tGround\tName\n500\t18 in\tSub\n", ("Sub", 1, 500, None, 18 * 0.0254)),
    ],
)
def test_each_column_is_taken_for_what_it_is(text: str, wanted: tuple[object, ...]) -> None:
    build = start_build()
    build = applied(build, add_amplifiers(build, cells_of_text(text)))
    (amp,) = build.amplifiers
    feed = next(run for run in build.runs if run.target == amp.id)
    ground = next(run for run in build.runs if run.source == amp.id)
    name, *figures = wanted
    assert amp.name == (name or "Amp 1")
    assert figures == [
        amp.channels,
        amp.channel_w,
        feed.length_m and pytest.approx(feed.length_m),
        ground.length_m and pytest.approx(ground.length_m),
    ]


async def test_of_rows_whose_power_cannot_be_read_none_is_taken(tmp_path: Path) -> None:
    path = tmp_path / "store.db"
    async with running(path, NARROW) as pilot:
        await press(pilot, "ctrl+n", "enter")
        screen = pilot.app.screen
        assert isinstance(screen, GridScreen)
        screen.on_paste(Paste("Front\t4x75\t3\nSub\tTBD\t4\nMids\t\t75\n"))
        await pilot.pause()
        assert "row 2, column 2: 'TBD' cannot be read" in status(pilot)
        assert screen_text(pilot).endswith("columns: name, power, feed, ground")  # all of it
        assert not reopened(path).amplifiers
