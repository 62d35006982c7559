"""A tour of a demo build: enter leads from stop to stop, any other key leaves it."""

from collections.abc import Awaitable, Callable

from textual.events import Key

from demo_db.load import demo_builds
from tui.screens.build import BuildScreen
from tui.screens.looked_at import LookedAt
from tui.views.build.wiring import WiringView
from tui.widgets.key_line import Keys

ON = frozenset(("enter", "space", "right", "down"))
"""Keys that lead to the next stop."""


async def _wire(screen: BuildScreen) -> None:
    run = next(run for run in screen.workbench.build.runs if run.fused)
    await screen.go_to_thing("runs", run.id, "gauge")


async def _figure(screen: BuildScreen) -> None:
    view = screen.held(WiringView)
    view.close_form()
    view.step_figure()


def _to(page: str) -> Callable[[BuildScreen], Awaitable[object]]:
    return lambda screen: screen.visit_named(page)


STOPS: tuple[tuple[str, Callable[[BuildScreen], Awaitable[object]]], ...] = (
    (
        "The power side from the battery on; a length, size or fuse is typed beside it",
        lambda screen: screen.show_view(screen.held(WiringView)),
    ),
    ("Enter opens all there is of a wire, and says why each figure is what it is", _wire),
    ("alt+v: another figure beside the wires; the pane shows what is wrong first", _figure),
    ("Amplifiers: what each takes; every page has a key in the line at the top", _to("amplifiers")),
    ("Custom parts: brackets and plates, with holes, bends and what they carry", _to("parts")),
    ("Readings: type what your meter shows, and the bad joint is named", _to("readings")),
    ("Pack: what to buy, a quote, and the paper for the bay. F1 is help everywhere", _to("pack")),
)
"""What is said at each stop, in at most 78 cells, and what leads there."""


class TourScreen(BuildScreen):
    """The first demo build, shown stop by stop."""

    def __init__(self) -> None:
        _, build = demo_builds()[0]
        why = "this is the tour: it changes nothing, and ctrl+n in the list starts a build"
        super().__init__(LookedAt(0, build, 0, "tour: changes nothing", why))
        self._at = 0

    async def on_mount(self) -> None:
        """Begin at the first stop."""
        await super().on_mount()
        await self._show()

    def keys_here(self) -> Keys:
        """The ways on."""
        last = self._at + 1 == len(STOPS)
        word = "ends the tour" if last else f"next ({self._at + 1} of {len(STOPS)})"
        return [("enter", word, "tour"), ("any other key", "leaves", "home")]

    async def on_key(self, event: Key) -> None:
        """On to the next stop, or out."""
        event.stop()
        event.prevent_default()
        self._at += 1
        if event.key in ON and self._at < len(STOPS):
            await self._show()
        else:
            self.dismiss(None)

    async def _show(self) -> None:
        said, go = STOPS[self._at]
        await go(self)
        self.status.show_keys()
        self.call_after_refresh(self.tell, said)
