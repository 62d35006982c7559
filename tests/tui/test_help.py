"""The help page: all of it can be read at any width, and only what is in sight is drawn."""

from pathlib import Path

import pytest
from textual.strip import Strip

from tests.tui.driving import press, running, screen_text
from tests.tui.stillness import settled
from tui.dialogs.boxes import Help, HelpLines
from tui.widgets.line_view import LineView

pytestmark = pytest.mark.usefixtures("drawn_each_time")


async def test_only_lines_in_sight_are_drawn(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    drawn: list[int] = []
    render_line = LineView.render_line

    def counting(view: LineView, y: int) -> Strip:
        if isinstance(view, HelpLines):
            drawn.append(y)
        return render_line(view, y)

    monkeypatch.setattr(LineView, "render_line", counting)
    async with running(tmp_path / "store.db", (80, 24)) as pilot:
        await press(pilot, "f1")
        assert isinstance(pilot.app.screen, Help)
        page = pilot.app.screen.query_one(HelpLines)
        assert len(page.lines) > page.size.height
        # its heading is one line; nothing else on the page is a text that is kept as drawn
        assert [each.id for each in pilot.app.screen.query("Static")] == ["heading"]
        assert 0 < len(set(drawn)) <= page.size.height


@pytest.mark.parametrize("size", [(120, 40), (80, 24), (50, 20), (36, 20)])
async def test_every_line_is_reached_and_none_is_cut(tmp_path: Path, size: tuple[int, int]) -> None:
    async with running(tmp_path / "store.db", size) as pilot:
        await press(pilot, "f1")
        page = pilot.app.screen.query_one(HelpLines)
        assert max(len(line.plain.rstrip()) for line in page.lines) <= page.size.width
        seen = ""
        for _ in range(2 + len(page.lines) // (page.size.height - 1)):
            seen += screen_text(pilot)
            await press(pilot, "pagedown")
        for line in page.lines:
            assert line.plain.strip() in seen
        assert page.scroll_offset.y == max(0, len(page.lines) - page.size.height)


async def test_lines_are_wrapped_anew_in_a_narrower_terminal(tmp_path: Path) -> None:
    async with running(tmp_path / "store.db", (120, 40)) as pilot:
        await press(pilot, "f1")
        page = pilot.app.screen.query_one(HelpLines)
        wide = len(page.lines)
        await pilot.resize_terminal(64, 24)
        await settled(pilot)
        assert len(page.lines) > wide
        assert page.virtual_size.height == len(page.lines)
        assert max(len(line.plain.rstrip()) for line in page.lines) <= page.size.width
        await pilot.resize_terminal(120, 40)
        await settled(pilot)
        assert len(page.lines) == wide
