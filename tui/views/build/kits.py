"""What people do as one command, from the palette of any page of a build."""

from typing import TYPE_CHECKING

from domain.build.edits import EditRefused
from domain.build.kits import KITS, Kit
from domain.build.records import DEVICE_TABLES, Build
from tui.actions import Action
from tui.views.build.going import go_to

if TYPE_CHECKING:
    from tui.views.build.build_view import BuildView


async def add_kit(view: "BuildView", kit: Kit) -> None:
    """Make a kit's edit, go to the device that it is named after, and say all that was done."""
    before = view.bench.build
    try:
        edit = kit.make(before)
    except EditRefused as error:
        view.screen.warn(f"Not added: {error}")
        return
    if view.screen.commit(edit):
        table, id = _first_new(before, view.bench.build)
        await go_to(view.screen, view.bench, table, id, "name")
        view.screen.tell(f"Done: {edit.label}. ctrl+z takes it back")


def _first_new(before: Build, after: Build) -> tuple[str, str]:
    """Table and id of the first device that was added."""
    for table in DEVICE_TABLES:
        had = {record.id for record in getattr(before, table)}
        for record in getattr(after, table):
            if record.id not in had:
                return table, record.id
    return "runs", after.runs[-1].id


def _action(kit: Kit) -> "Action[BuildView]":
    return Action(kit.id, f"Add: {kit.title}", kit.help, (), lambda view: add_kit(view, kit))


KIT_ACTIONS = tuple(_action(kit) for kit in KITS)
"""An action for each."""
