"""A tour of a demo build: enter leads from stop to stop, any other key leaves it."""

from collections.abc import Awaitable, Callable

from demo_db.load import demo_builds
from tui.screens.build import LEADS_ON, BuildScreen
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


class Tour:
    """Leads a screen from stop to stop, and takes all of its keys."""

    def __init__(self, screen: BuildScreen) -> None:
        self._screen = screen
        self._at = 0

    def keys(self) -> Keys:
        """The ways on."""
        last = self._at + 1 == len(STOPS)
        word = "ends the tour" if last else f"next ({self._at + 1} of {len(STOPS)})"
        return [("enter", word, LEADS_ON), ("any other key", "leaves", "home")]

    def take_key(self, key: str) -> None:
        """On to the next stop, or out."""
        self._at += 1
        if key in ON and self._at < len(STOPS):
            self._screen.call_later(self.show, self._at)
        else:
            self._screen.dismiss(None)

    async def show(self, at: int = 0) -> None:
        """A stop; nothing where a later key went on from it before it was shown."""
        if at != self._at:
            return
        said, go = STOPS[at]
        await go(self._screen)
        self._screen.status.show_keys()
        self._screen.call_after_refresh(self._screen.tell, said)


def tour_screen() -> BuildScreen:
    """The first demo build, shown stop by stop."""
    _, build = demo_builds()[0]
    why = "this is the tour: it changes nothing, and ctrl+n in the list starts a build"
    return BuildScreen(LookedAt(0, build, 0, "tour: changes nothing", why), Tour)
