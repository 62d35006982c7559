"""Every action in an open build: what the screen does, and what its views do."""

from typing import TYPE_CHECKING, Any

from tui.actions import EVERYWHERE, Action
from tui.grids.row_actions import going_to, row_actions
from tui.views.build.amplifiers import AmplifiersView
from tui.views.build.battery import BatteryView
from tui.views.build.build_view import BuildView
from tui.views.build.distribution import DistributionView
from tui.views.build.grounds import GroundsView
from tui.views.build.pack import PackView
from tui.views.build.parts import PartsView
from tui.views.build.readings import ReadingsView
from tui.views.build.ways import WaysView
from tui.views.build.wiring import WiringView

if TYPE_CHECKING:
    from tui.screens.build import BuildScreen

BUILD_VIEWS: tuple[type[BuildView], ...] = (
    WiringView,
    AmplifiersView,
    BatteryView,
    DistributionView,
    GroundsView,
    PartsView,
    ReadingsView,
    PackView,
    WaysView,
)
"""The views of a build, in the order of the work."""

_OF_SCREEN: tuple[Action["BuildScreen"], ...] = (
    Action("home", "Builds", "back to the list of builds", ("f10",), lambda s: s.go_back()),
    Action(
        "shop",
        "Shop",
        "what the shop keeps: items and prices, times, hole patterns of devices",
        ("f12",),
        lambda s: s.go_to_shop(),
    ),
    Action(
        "next_finding",
        "Next finding",
        "go to the field that fixes the next finding",
        ("ctrl+g",),
        lambda s: s.go_to_next_finding(),
        "next finding",
        tells=True,
    ),
    Action(
        "mend",
        "Fix the finding",
        "make the edit that fixes the finding on top of the pane, where there is one",
        ("ctrl+e",),
        lambda s: s.mending.mend(),
    ),
    Action(
        "pane",
        "Results",
        "open the results pane in full, and back",
        ("f9",),
        lambda s: s.toggle_pane(),
        "pane",
    ),
    Action(
        "pane_down",
        "Scroll the pane down",
        "scroll the results pane down",
        ("shift+down", "shift+pagedown"),
        lambda s: s.pane.scroll_by(5),
    ),
    Action(
        "pane_up",
        "Scroll the pane up",
        "scroll the results pane up",
        ("shift+up", "shift+pageup"),
        lambda s: s.pane.scroll_by(-5),
    ),
    *row_actions(
        add="add a row to this table, with whatever comes with it",
        remove="remove this row and what makes no sense without it",
        duplicate="add a copy of this row",
        undo="take the last change back",
    ),
    Action(
        "rehang",
        "Change what feeds it",
        "choose another device that feeds this wire; of a ground wire, another place to lead it to",
        ("ctrl+r",),
        lambda s: s.rehang(),
    ),
    Action(
        "look",
        "Look closer",
        "the picture here: drop, drive, fuse against wire, custom part, suspects; the quote",
        ("ctrl+t",),
        lambda s: s.view.look(),
        "picture",
        tells=True,
    ),
    Action(
        "workings",
        "How it is calculated",
        "formula, inputs and source of the figure under the cursor; with the pane in full, of its",
        ("ctrl+w",),
        lambda s: s.show_workings(),
        "how",
        tells=True,
    ),
    Action(
        "history",
        "History",
        "who changed what and when; the build as it was, compared, and a copy of it",
        ("alt+h",),
        lambda s: s.show_history(),
        tells=True,
    ),
    Action(
        "to_paper",
        "To paper",
        "in Pack: write the pack; elsewhere: template, drawing, SVG and DXF of the custom part",
        ("ctrl+l",),
        lambda s: s.view.to_paper(),
        tells=True,
    ),
)

BUILD: tuple[Action[Any], ...] = (
    *going_to(*BUILD_VIEWS),
    *_OF_SCREEN,
    *(action for view in BUILD_VIEWS for action in view.actions),
    *EVERYWHERE,
)
"""Every action in an open build, in the order in which help shows them."""
