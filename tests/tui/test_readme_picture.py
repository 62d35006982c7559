"""What README shows of the screen is what the screen shows."""

from pathlib import Path

from tests.tui.readme_picture import BLOCK, README, picture


async def test_readmes_picture_is_the_screen_of_the_demo(tmp_path: Path) -> None:
    """Renew it by ``python -m tests.tui.readme_picture``."""
    (shown,) = BLOCK.findall(README.read_text(encoding="utf-8"))
    assert shown == await picture(tmp_path / "demo.db")
