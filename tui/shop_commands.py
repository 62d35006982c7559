"""The commands for what the shop keeps beside its builds: catalogue, times, footprints.

They end as those of ``tui.commands`` do; what they need is imported when they run.
"""

from collections.abc import Callable
from typing import TYPE_CHECKING, Annotated, TypeVar

import typer

from tui.choosing import Options, open_store
from tui.exits import Refused
from tui.printing import ForceOption, read_text, write_file

if TYPE_CHECKING:
    from domain.edits import ReplaceTables
    from domain.shop import Shop

T = TypeVar("T")

ExportOption = Annotated[
    str | None, typer.Option("--export", metavar="FILE", help="Write it as CSV; - for a pipe.")
]
ImportOption = Annotated[
    str | None, typer.Option("--import", metavar="FILE", help="Take it from CSV; - for a pipe.")
]


def catalogue(
    context: typer.Context,
    export_to: ExportOption = None,
    import_from: ImportOption = None,
    force: Annotated[
        bool,
        typer.Option("--force", help="Replace the file; drop items that the import leaves out."),
    ] = False,
) -> None:
    """List your own items and prices; write or take them as CSV."""
    from domain.money.catalogue import catalogue_csv
    from storage.catalogue import ShopCatalogue

    _one_way(export_to, import_from)
    if import_from is not None:
        print(_take_catalogue(context.obj, import_from, force))
        return
    with open_store(context.obj) as store:
        items = ShopCatalogue(store).items()
    if export_to is not None:
        write_file(export_to, catalogue_csv(items), force)
    elif items:
        from tui.report_money import catalogue_lines

        print("\n".join(catalogue_lines(items)))
    else:
        print("no items: --export FILE writes a file to fill in, --import FILE takes it")


def times(
    context: typer.Context,
    export_to: ExportOption = None,
    import_from: ImportOption = None,
    force: ForceOption = False,
) -> None:
    """List the times behind a quote; write or take them as CSV."""
    from domain.money.times import shop_times, times_csv
    from storage.catalogue import ShopCatalogue

    _one_way(export_to, import_from)
    if import_from is not None:
        print(_take_times(context.obj, import_from))
        return
    with open_store(context.obj) as store:
        table = shop_times(ShopCatalogue(store).times())
    if export_to is not None:
        write_file(export_to, times_csv(table), force)
        return
    from tui.report_money import times_lines

    print("\n".join(times_lines(table)))


def footprints(
    context: typer.Context,
    export_to: ExportOption = None,
    import_from: ImportOption = None,
    force: Annotated[
        bool,
        typer.Option("--force", help="Replace the file; drop footprints the import leaves out."),
    ] = False,
) -> None:
    """List the shop's footprints of devices; write or take them as CSV."""
    from domain.fabrication.footprint_file import footprints_csv
    from storage.shop import ShopStore

    _one_way(export_to, import_from)
    if import_from is not None:
        print(_take_footprints(context.obj, import_from, force))
        return
    with open_store(context.obj) as store:
        library = ShopStore(store).open().shop.library
    if export_to is not None:
        write_file(export_to, footprints_csv(library), force)
    elif library.footprints:
        from tui.report_money import footprint_lines

        print("\n".join(footprint_lines(library)))
    else:
        print("no footprints: --export FILE writes a file to fill in, --import FILE takes it")


def _take_catalogue(options: Options, file: str, force: bool) -> str:
    """Put a file's items in the place of the catalogue; none is dropped unless forced."""
    from domain.money.catalogue import read_catalogue
    from domain.shop_actions import replaced_items

    items = _read(file, read_catalogue)
    dropped = _replace(
        options,
        lambda shop: replaced_items(shop, items, f"take {len(items)} items from a file"),
        ("items",),
        None if force else file,
    )
    return f"the catalogue holds {_counted(len(items), 'item')}{_dropped(dropped)}"


def _take_footprints(options: Options, file: str, force: bool) -> str:
    """Put a file's footprints in the place of the library; none is dropped unless forced."""
    from domain.fabrication.footprint_file import read_footprints
    from domain.shop_actions import replaced_library

    library = _read(file, read_footprints)
    many = _counted(len(library.footprints), "footprint")
    dropped = _replace(
        options,
        lambda shop: replaced_library(shop, library, f"take {many} from a file"),
        ("footprints", "studs"),
        None if force else file,
    )
    return f"the shop holds {many}{_dropped(dropped)}"


def _take_times(options: Options, file: str) -> str:
    """Put a file's times in the place of the shop's own."""
    from domain.money.times import default_times, read_times
    from domain.shop_actions import replaced_times

    own = _read(file, read_times)
    _replace(options, lambda shop: replaced_times(own, "take times from a file"), ("times",), None)
    return f"{len(own)} of {len(default_times())} times are your own, the others are defaults"


def _read(file: str, read: Callable[[str], T]) -> T:
    from domain.money.cells import CsvRefused

    try:
        return read(read_text(file))
    except CsvRefused as error:
        raise Refused(f"{file}: {error}") from None


def _replace(
    options: Options,
    make: Callable[["Shop"], "ReplaceTables"],
    replaced: tuple[str, ...],
    file: str | None,
) -> list[str]:
    """Replace tables of the shop; the names that are dropped, refused where a file is given."""
    from domain.edits import EditRefused
    from domain.shop_actions import dropped_by
    from storage.shop import ShopStore
    from tui.plain import some

    dropped: list[str] = []

    def edit(shop: "Shop") -> "ReplaceTables":
        made = make(shop)
        dropped[:] = dropped_by(shop, made)
        if dropped and file is not None:
            raise Refused(
                f"{file} leaves out {some(dropped)}, nothing was taken: --export keeps a copy of "
                "what is there, --force drops them"
            )
        return made

    with open_store(options, create=True) as store:
        try:
            # Damaged rows are replaced as well, but not without being told to.
            ShopStore(store).change(edit, replaced if file is None else ())
        except EditRefused as error:
            raise Refused(f"{error}; nothing was taken") from None
    return dropped


def _counted(count: int, what: str) -> str:
    return f"1 {what}" if count == 1 else f"{count} {what}s"


def _dropped(names: list[str]) -> str:
    return f", {len(names)} dropped" if names else ""


def _one_way(export_to: str | None, import_from: str | None) -> None:
    if export_to is not None and import_from is not None:
        raise Refused("--export and --import go one at a time: first write, then take")
