"""The commands that make paper: materials, quote, templates, the pack.

They end as those of ``tui.commands.main`` do; what they need is imported when they run.
"""

from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from storage.pack.contents import LabelStock
from tui.commands.choosing import Options, key_of, open_store
from tui.commands.exits import Refused
from tui.commands.printing import BuildArgument, ForceOption, print_text, progress_line, write_out
from tui.report.plain import today

if TYPE_CHECKING:
    from domain.build.records import Build
    from domain.money.shopping import Shopping
    from domain.plan import Plan
    from domain.shop.catalogue import CatalogueItem
    from domain.shop.times import Time
    from storage.store.read import Opened


class ListFormat(StrEnum):
    """How materials are printed."""

    TEXT = "text"
    CSV = "csv"
    JSON = "json"


class Paper(StrEnum):
    """What is printed on."""

    LETTER = "letter"
    A4 = "a4"


PaperOption = Annotated[
    Paper | None,
    typer.Option(metavar="letter|a4", help="Paper; by the build's units if not given."),
]
FolderOption = Annotated[
    str, typer.Option("--to", metavar="DIR", help="Folder for the files; made if it is missing.")
]


def materials(
    context: typer.Context,
    build: BuildArgument,
    format: Annotated[
        ListFormat, typer.Option(metavar="text|csv|json", help="How to print it.")
    ] = ListFormat.TEXT,
) -> None:
    """Print what to buy, what asked for it, and the cut list."""
    found, items, times = _shop(context.obj, build)
    plan, bought = _shopping(found.document, items, times)
    if format is ListFormat.TEXT:
        from domain.topics.tables import Subject
        from tui.report.money import materials_text

        told = materials_text(Subject(plan.build, plan.sheet), bought, bool(items))
        print_text(told, plan.build)
        return
    from domain.money.shopping_tables import shopping_csv, shopping_json

    if format is ListFormat.CSV:
        write_out(shopping_csv(found.document, bought))
    else:
        write_out(shopping_json(found.document, bought))


def quote(context: typer.Context, build: BuildArgument) -> None:
    """Print a quote for the customer, from your own prices and times."""
    from domain.money.quote_text import quote_text

    found, items, times = _shop(context.obj, build)
    plan, bought = _shopping(found.document, items, times)
    told = quote_text(found.document, plan.sheet, bought.estimate, today())
    print_text(told, found.document)


def template(
    context: typer.Context,
    build: BuildArgument,
    part: Annotated[str, typer.Argument(metavar="PART", help="Its id, or a part of its name.")],
    to: FolderOption,
    paper: PaperOption = None,
    force: ForceOption = False,
) -> None:
    """Write template, drawing, SVG and DXF of a custom part."""
    with open_store(context.obj) as store:
        found = store.open(key_of(store, build))
    part_id = part_of(found.document, part)
    from storage.pack.template import write_template

    paths = write_template(
        found.document,
        part_id,
        _paper(found.document, paper),
        Path(to),
        revision=str(found.revision),
        date=today(),
        replace=force,
    )
    print("\n".join(map(str, paths)))


def pack(
    context: typer.Context,
    build: BuildArgument,
    to: FolderOption,
    only: Annotated[
        str | None,
        typer.Option(metavar="A,B", help="Only these sections, as summary,runs,data."),
    ] = None,
    paper: PaperOption = None,
    labels: Annotated[
        LabelStock | None,
        typer.Option(
            metavar="9|12|18|24|62x29",
            help="Labels for a label printer too: width of its tape, or label size, in mm.",
        ),
    ] = None,
    full_harness: Annotated[
        bool,
        typer.Option("--full-harness", help="The harness 1:1 on long paper too."),
    ] = False,
    force: ForceOption = False,
) -> None:
    """Write all that goes into the bay: PDF, tables, templates."""
    wanted = _sections(only)
    found, items, times = _shop(context.obj, build)
    plan, bought = _shopping(found.document, items, times)
    from domain.full_results import full_results
    from storage.pack.pack import write_pack
    from storage.pack.pack_context import Money

    with progress_line("pack") as progress:
        paths = write_pack(
            plan,
            full_results(plan),
            Path(to),
            paper=_paper(found.document, paper),
            revision=str(found.revision),
            date=today(),
            only=wanted,
            progress=progress,
            money=Money(bought.estimate, bought.spools),
            labels_on=labels.value if labels else "",
            harness_on="full" if full_harness else "",
            replace=force,
        )
    print("\n".join(map(str, paths)))


def part_of(build: "Build", wanted: str) -> str:
    """The id of the part with this id, this name, or the only one with this in its name.

    ``Refused`` where no part is meant, or several may be.
    """
    from domain.document.records import label
    from tui.widgets.cell_text import cut

    if not build.parts:
        raise Refused(f"{build.header.title!r} has no custom parts: add one to it first")
    text = wanted.casefold()
    names = {part.id: label(build, part.id) for part in build.parts}
    for fits in (
        lambda id: text == id.casefold(),
        lambda id: text == names[id].casefold(),
        lambda id: bool(text) and text in names[id].casefold(),
    ):
        found = [id for id in names if fits(id)]
        if len(found) == 1:
            return found[0]
        if found:
            break
    listed = [f"{id} ({cut(names[id], 30)})" for id in (found or names)]
    more = f" and {len(listed) - 6} more" if len(listed) > 6 else ""
    said = ", ".join(listed[:6]) + more
    if found:
        raise Refused(f"{cut(wanted, 40)!r} may be {said}: give the id")
    raise Refused(f"no custom part is {cut(wanted, 40)!r}: take one of {said}")


def _shop(
    options: Options, wanted: str
) -> tuple["Opened[Build]", "tuple[CatalogueItem, ...]", "tuple[Time, ...]"]:
    """The build that is meant with its revision, and the catalogue and times of its store."""
    from domain.shop.times import shop_times
    from storage.store.shelf import ShopCatalogue

    with open_store(options) as store:
        shop = ShopCatalogue(store)
        return store.open(key_of(store, wanted)), shop.items(), shop_times(shop.times())


def _shopping(
    build: "Build", items: "tuple[CatalogueItem, ...]", times: "tuple[Time, ...]"
) -> tuple["Plan", "Shopping"]:
    """The plan with its sheets as they are bought, and what is bought."""
    from msgspec.structs import replace

    from domain.evaluate import make_plan
    from domain.money.shopping import shopping

    plan = make_plan(build, swept=True)
    bought = shopping(build, plan.sheet, items, times)
    return replace(plan, sheet=bought.sheet), bought


def _paper(build: "Build", paper: Paper | None) -> str:
    """The paper asked for, else what goes with the build's units."""
    from domain.build.choices import UnitHabit

    if paper is None:
        paper = Paper.LETTER if build.header.units is UnitHabit.INCH else Paper.A4
    return paper.value


def _sections(only: str | None) -> frozenset[str] | None:
    """The sections asked for; ``None`` for all. Which there are, the pack knows."""
    if only is None:
        return None
    wanted = frozenset(name.strip().casefold() for name in only.split(",")) - {""}
    if not wanted:
        raise Refused("--only names no section: give one or more, parted by commas")
    return wanted
