"""What holds a custom part and what it holds: each a question or two, and one edit."""

from typing import TYPE_CHECKING

from domain.build.choices import Into
from domain.build.edits import Batch, Edit, EditRefused, SetField
from domain.build.records import Build, Footprint, Hole, Mount, Panel, Part, Stud
from domain.document.records import find, label

if TYPE_CHECKING:
    from tui.views.build.parts import PartsView

NO_PART = "Go to a custom part first (F6)"

_INTO = tuple(into for into in Into if into is not Into.UNKNOWN)


def _panel_here(view: "PartsView") -> str:
    """The panel of the row with the cursor, if it stands on one."""
    record = find(view.bench.build, view.screen.grid.row_id)
    if isinstance(record, Hole | Mount):
        return record.panel
    return record.id if isinstance(record, Panel) else ""


def _made(view: "PartsView", edit: Edit, go_to: str) -> bool:
    """Make an edit; the cursor then stands in the first new row of a table."""
    had = {record.id for record in getattr(view.bench.build, go_to)}
    if not view.screen.commit(edit):
        return False
    view.screen.show_tables()
    new = next((r.id for r in getattr(view.bench.build, go_to) if r.id not in had), "")
    grid = view.tables[go_to].grid
    if new:
        asked = "mass_kg" if go_to == "footprints" else view.tables[go_to].spec.first
        grid.go(new, asked or "name")
        view.screen.focus_grid(grid)
    view.draw()
    return True


def screw_on(view: "PartsView") -> None:
    """Ask what the part goes into, and put the screws in."""
    from domain.fabrication.fixing_actions import fix_part
    from tui.dialogs.boxes import Pick

    screen, part = view.screen, view.part_here()
    if not part:
        screen.say(NO_PART)
        return
    if not screen.editing.confirm():
        return
    panel = _panel_here(view)

    def chosen(place: int | None) -> None:
        if place is None:
            return
        try:
            edit = fix_part(view.bench.build, part, _INTO[place], panel)
        except EditRefused as error:
            screen.warn(f"Not done: {error}")
            return
        if _made(view, edit, "fixings"):
            screen.tell(f"Done: {edit.label}. Enter how thick it is behind; ctrl+z takes it back")

    names = [into.value for into in _INTO]
    screen.app.push_screen(
        Pick(f"What is {label(view.bench.build, part)} screwed to?", names), chosen
    )


def carry_something(view: "PartsView") -> None:
    """Ask what the part carries: footprints first, then what has none yet, then the shop's."""
    from tui.dialogs.boxes import Pick

    screen, part = view.screen, view.part_here()
    if not part:
        screen.say(NO_PART)
        return
    if not screen.editing.confirm():
        return
    panel = _panel_here(view)
    build = view.bench.build
    offered = [(f"{each.name or each.id}, hole pattern", each.id, "") for each in build.footprints]
    offered += [(name, "", id) for name, id in _bare_devices(build)]
    offered += [(f"{each.name}, from the shop", "", each.id) for each in _shop_footprints(view)]
    shop_from = len(offered) - len(_shop_footprints(view))

    def chosen(place: int | None) -> None:
        if place is None:
            return
        _, footprint, id = offered[place]
        _carry(view, part, panel, footprint, id, from_shop=place >= shop_from)

    title = f"What does {label(build, part)} carry?"
    screen.app.push_screen(Pick(title, [name for name, *_ in offered]), chosen)


def _carry(
    view: "PartsView", part: str, panel: str, footprint: str, id: str, *, from_shop: bool
) -> None:
    from domain.build.edits import apply
    from domain.fabrication.fixing_actions import carry
    from domain.fabrication.footprints.exchange import taken_footprint
    from tui.views.build.shop_link import open_bench

    screen, build = view.screen, view.bench.build
    try:
        edits: list[Edit] = []
        if from_shop:
            shop = open_bench(screen, view.bench)
            if shop is None:
                return
            copied = taken_footprint(build, shop.document.library, id)
            build, _ = apply(build, copied)
            edits, footprint, id = list(copied.edits), build.footprints[-1].id, ""
        batch = carry(build, part, footprint, id, panel)
    except EditRefused as error:
        screen.warn(f"Not done: {error}")
        return
    edit = Batch(edits=(*edits, *batch.edits), label=batch.label)
    asks = not footprint
    if _made(view, edit, "footprints" if asks else "mounts"):
        more = (
            "Enter its mass and sizes; alt+o puts its screws in" if asks else "ctrl+z takes it back"
        )
        screen.tell(f"Done: {edit.label}. {more}")


def _bare_devices(build: Build) -> list[tuple[str, str]]:
    """Devices and fuse holders of the plan that have no footprint yet."""
    known = {footprint.device for footprint in build.footprints}
    devices = [*build.amplifiers, *build.appliances, *build.blocks, *build.batteries]
    found = [(label(build, device.id), device.id) for device in devices]
    found += [(f"fuse holder of {label(build, r.id)}", r.id) for r in build.runs if r.fused]
    return [each for each in found if each[1] not in known]


def _shop_footprints(view: "PartsView") -> tuple[Footprint, ...]:
    from tui.views.build.shop_link import open_bench

    shop = open_bench(view.screen, view.bench)
    return shop.document.library.footprints if shop is not None else ()


def both_hands(view: "PartsView") -> None:
    """Make the part for left and right, or for one side only."""
    screen, part = view.screen, find(view.bench.build, view.part_here())
    if not isinstance(part, Part):
        screen.say(NO_PART)
        return
    if not screen.editing.confirm():
        return
    edit = SetField(table="parts", id=part.id, field="both_hands", value=not part.both_hands)
    if screen.commit(edit):
        screen.show_tables()
        view.draw()
        many = "left and right hand" if not part.both_hands else "one hand only"
        screen.say(f"{label(view.bench.build, part.id)}: {many}. ctrl+z takes it back")


def corner_screws(view: "PartsView") -> None:
    """Ask for the distances of a footprint's screws, along x across, and put them in."""
    from tui.dialogs.boxes import Ask

    screen, record = view.screen, find(view.bench.build, view.screen.grid.row_id)
    if isinstance(record, Stud | Mount):
        record = find(view.bench.build, record.footprint)
    if not isinstance(record, Footprint):
        from tui.views.build.footprints import NONE_HERE

        screen.say(NONE_HERE)
        return
    if not screen.editing.confirm():
        return
    id = record.id

    def made(text: str) -> Batch:
        from domain.fabrication.fixing_actions import screws_at_corners

        along, across, thread = _distances(view.bench.build, text)
        return screws_at_corners(view.bench.build, id, along, across, thread)

    def wrong(text: str) -> str:
        try:
            made(text)
        except ValueError as error:
            return str(error)
        return ""

    def typed(text: str | None) -> None:
        if text is None:
            return
        try:
            edit = made(text)
        except ValueError as error:  # another session has changed the hole pattern meanwhile
            screen.warn(f"Not done: {error}")
            return
        if _made(view, edit, "studs"):
            screen.tell(f"Done: {edit.label}. ctrl+z takes it back")

    asked = (
        "Screws apart, along x across, then their thread: 80 x 40 M4, 3 x 1.5 #10; one number: two"
    )
    screen.app.push_screen(Ask(f"{asked} screws", "", wrong), typed)


def _distances(build: Build, text: str) -> tuple[float, float, str]:
    """ "80 x 40 M4" as lengths and a thread; ``ValueError`` with a sentence."""
    from domain.build.fields import parse_field

    sizes, _, thread = text.strip().partition(" M") if " M" in text else text.partition(" #")
    thread = text[len(sizes) :].strip()
    found = [part.strip() for part in sizes.casefold().split("x")]
    if not 1 <= len(found) <= 2 or not all(found):
        raise EditRefused("type two distances, as 80 x 40, or one")
    lengths = [parse_field(build, "footprints", "length_m", each) for each in found]
    numbers = [float(each) for each in lengths if isinstance(each, int | float)]
    if len(numbers) < len(found):
        raise EditRefused("type two distances, as 80 x 40, or one")
    return numbers[0], (numbers[1] if len(numbers) > 1 else 0.0), thread
