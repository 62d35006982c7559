"""README's picture of the screen, from the demo store.

``python -m tests.tui.readme_picture`` puts the picture of today into README.md.
"""

import asyncio
import re
from pathlib import Path
from tempfile import TemporaryDirectory

from demo_db.load import demo_store
from tests.tui.driving import press, running, screen_text, tried

README = Path(__file__).parents[2] / "README.md"
SIZE = (120, 26)
BLOCK = re.compile(r"(?<=^```text\n).*?(?=\n```$)", re.DOTALL | re.MULTILINE)
"""The one block of README.md that is a screen."""


async def picture(store: Path) -> str:
    """The wiring of the first demo build, at rest."""
    async with running(store, SIZE, demo_store(store)) as pilot:
        await press(pilot, "alt+1")
        await tried(pilot)
        return screen_text(pilot)


def main() -> None:
    """Renew the picture in README.md."""
    with TemporaryDirectory() as folder:
        now = asyncio.run(picture(Path(folder) / "demo.db"))
    text = README.read_text(encoding="utf-8")
    README.write_text(BLOCK.sub(lambda _: now, text), encoding="utf-8")


if __name__ == "__main__":
    main()
