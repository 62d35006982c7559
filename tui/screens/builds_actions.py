"""Every action on the list of builds."""

from typing import TYPE_CHECKING, Any

from tui.actions import EVERYWHERE, Action

if TYPE_CHECKING:
    from tui.screens.builds import BuildsScreen

_OF_SCREEN: tuple[Action["BuildsScreen"], ...] = (
    Action(
        "open",
        "Open the build",
        "open the marked build",
        ("enter",),
        lambda s: s.open_marked(),
        "open",
    ),
    Action(
        "new",
        "New build",
        "start a build: what is known of the job, or enter at once, then its amplifiers",
        ("ctrl+n",),
        lambda s: s.start_new(),
        "new",
    ),
    Action(
        "duplicate",
        "Duplicate the build",
        "copy the marked build under a new title",
        ("ctrl+d",),
        lambda s: s.duplicate(),
        "duplicate",
    ),
    Action(
        "archive",
        "Archive the build",
        "put the marked build away, or bring it back",
        ("ctrl+x",),
        lambda s: s.archive(),
        "archive",
    ),
    Action(
        "bring_back",
        "Bring it back",
        "bring back the build that was put away last",
        ("ctrl+z",),
        lambda s: s.bring_back(),
    ),
    Action(
        "archived",
        "Show archived builds",
        "show or hide the builds that were put away",
        ("alt+x",),
        lambda s: s.show_archived(),
    ),
    Action(
        "mark",
        "Mark for comparing",
        "mark this build to compare another one with it (space, while no filter is typed)",
        (),
        lambda s: s.mark(),
    ),
    Action(
        "compare",
        "Compare with the marked build",
        "show the marked build and this one side by side; without a mark, mark this one",
        ("alt+y",),
        lambda s: s.compare(),
        "compare",
    ),
    Action(
        "shop",
        "Shop",
        "what the shop keeps: items and prices, times, hole patterns of devices",
        ("f12",),
        lambda s: s.open_shop(),
    ),
    Action(
        "tour",
        "Tour",
        "round a demo build in a few stops; enter leads on, any other key leaves it",
        ("alt+t",),
        lambda s: s.tour(),
    ),
    Action(
        "demo",
        "Load the demo builds",
        "add the demo builds to this store",
        (),
        lambda s: s.load_demo(),
    ),
)

BUILDS: tuple[Action[Any], ...] = (*_OF_SCREEN, *EVERYWHERE)
"""Every action on the list of builds, in the order in which help shows them."""
