"""What is done to rows and taken back, on every screen of tables: the same keys everywhere."""

from tui.actions import Action
from tui.grids import edits
from tui.grids.columns_shown import choose_columns
from tui.grids.grid_screen import GridScreen
from tui.grids.view import View


def row_actions(add: str, remove: str, duplicate: str, undo: str) -> tuple[Action[GridScreen], ...]:
    """The actions on rows; what they do in the words of the screen."""
    return (
        Action("add", "Add a row", add, ("ctrl+n",), lambda s: s.view.table().add(), "add"),
        Action("remove", "Remove the row", remove, ("ctrl+x",), lambda s: s.remove_row(), "remove"),
        Action(
            "duplicate",
            "Duplicate the row",
            duplicate,
            ("ctrl+d",),
            lambda s: s.view.table().duplicate(),
        ),
        Action(
            "move_up",
            "Move the row up",
            "move this row one place up",
            ("alt+up", "ctrl+up"),
            lambda s: s.view.table().move(-1),
        ),
        Action(
            "move_down",
            "Move the row down",
            "move this row one place down",
            ("alt+down", "ctrl+down"),
            lambda s: s.view.table().move(1),
        ),
        Action(
            "columns",
            "Columns",
            "choose which columns of this table are shown; it is kept for you",
            ("alt+d",),
            choose_columns,
        ),
        Action("undo", "Undo", undo, ("ctrl+z",), edits.undo, "undo"),
        Action(
            "redo",
            "Redo",
            "make the change again that was taken back",
            ("ctrl+y",),
            edits.redo,
        ),
    )


def going_to(*views: type[View]) -> tuple[Action[GridScreen], ...]:
    """The actions that go to views, by their keys."""

    def going(view: type[View]) -> Action[GridScreen]:
        about = f"go to {view.title}; again: {view.again}"
        return Action(
            f"view_{view.id}", view.title, about, keys_of(view), lambda s: s.visit_named(view.id)
        )

    return (
        *(going(view) for view in views),
        Action("next_page", "Next page", "the next page", ("ctrl+pagedown",), lambda s: s.turn(1)),
        Action(
            "page_before", "Page before", "the page before", ("ctrl+pageup",), lambda s: s.turn(-1)
        ),
    )


def keys_of(view: type[View]) -> tuple[str, ...]:
    """The keys that go to a view: terminals take some F keys for themselves, so alt+2 as F2."""
    number = view.key.removeprefix("f")
    return (view.key, f"alt+{number}") if number.isdigit() and len(number) == 1 else (view.key,)
