"""Footprints that go from a build to the shop and back, as copies."""

from typing import TYPE_CHECKING

from domain.build.choices import UnitHabit
from domain.build.edits import EditRefused
from domain.build.records import Footprint
from domain.units.show import format_quantity
from storage.errors import StoreError
from tui.views.build.shop_link import open_bench

if TYPE_CHECKING:
    from domain.build.records import Build
    from domain.shop.shop import Shop
    from tui.bench import Bench
    from tui.views.build.build_view import BuildView

NONE_HERE = "Go to a hole pattern first: Custom parts (F6), table Hole patterns"


def keep(view: "BuildView", id: str) -> None:
    """Put a copy of a footprint of the build into the shop; asks where the shop has another."""
    from domain.fabrication.footprints.exchange import footprint_name, measured
    from domain.shop.shop_actions import free_name
    from tui.dialogs.boxes import Pick

    screen, build = view.screen, view.bench.build
    if not id:
        screen.say(NONE_HERE)
        return
    if not screen.editing.confirm():
        return
    shop = open_bench(screen, view.bench)
    if shop is None:
        return
    build, library = view.bench.build, shop.document.library
    name = footprint_name(build, id)
    known = {each.name: each.id for each in library.footprints}
    if name not in known:
        _keep(view, shop, id, name)
    elif measured(library, known[name]) == measured(build, id):
        screen.say(f"{name} is in the shop already, with the same measures")
    else:
        another = free_name(name, known)
        options = ["Replace the shop's by this one", f"Keep both, this one as {another}"]

        def chosen(place: int | None) -> None:
            if place is not None:
                _keep(view, shop, id, (name, another)[place])

        screen.app.push_screen(Pick(f"{name} in the shop has other measures", options), chosen)


def _keep(view: "BuildView", shop: "Bench[Shop]", id: str, name: str) -> None:
    from domain.fabrication.footprints.exchange import kept_footprint

    build = view.bench.build
    try:
        shop.make(lambda now: kept_footprint(now.library, build, id, name))
    except (EditRefused, StoreError) as error:
        view.screen.warn(f"Not kept: {error}")
        return
    view.screen.say(f"Kept in the shop: {name}, {_studs(build, id)}. F12 goes there")


def take(view: "BuildView") -> None:
    """Add a copy of one of the shop's footprints to the build, on the view that shows them."""
    screen = view.screen
    if not screen.editing.confirm():
        return
    shop = open_bench(screen, view.bench)
    if shop is None:
        return
    from tui.dialogs.list_search import Find

    library = shop.document.library
    if not library.footprints:
        screen.say("The shop has no hole patterns yet: alt+k keeps one of a build there")
        return
    units = view.bench.build.header.units
    names = [_described(library, each, units) for each in library.footprints]

    async def chosen(place: int | None) -> None:
        if place is not None:
            await _take(view, library, library.footprints[place].id)

    screen.app.push_screen(Find("Take a hole pattern from the shop", names), chosen)


async def _take(view: "BuildView", library: "Build", id: str) -> None:
    from domain.fabrication.footprints.exchange import taken_footprint

    screen, bench = view.screen, view.bench
    had = {each.id for each in bench.build.footprints}
    if not await screen.show_view(view):
        return
    if not screen.commit(taken_footprint(bench.build, library, id)):
        return
    new = next(each for each in bench.build.footprints if each.id not in had)
    grid = view.tables["footprints"].grid
    grid.go(new.id, "name")
    screen.focus_grid(grid)
    what = f"{new.name}, {_studs(library, id)}"
    screen.say(f"Taken as a copy: {what}; the shop's changes do not reach it")


def _studs(build: "Build", id: str) -> str:
    many = sum(stud.footprint == id for stud in build.studs)
    return "1 stud" if many == 1 else f"{many} studs"


def _described(library: "Build", footprint: Footprint, units: UnitHabit) -> str:
    sides = (footprint.length_m, footprint.width_m)
    size = " x ".join(format_quantity("small_length", side, units) for side in sides)
    return f"{footprint.name}  {size}, {_studs(library, footprint.id)}"
