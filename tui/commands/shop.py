"""The commands for what the shop keeps beside its builds: catalogue, times, footprints, kits.

They end as those of ``tui.commands.main`` do; what they need is imported when they run.
"""

from typing import TYPE_CHECKING, Annotated

import typer

from tui.commands.choosing import Options, open_store
from tui.commands.exits import Refused
from tui.commands.printing import ForceOption, read_text, write_file

if TYPE_CHECKING:
    from domain.build.edits import ReplaceTables
    from domain.shop.shop import Shop

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
    from domain.shop.catalogue import catalogue_csv
    from storage.store.shelf import ShopCatalogue

    _one_way(export_to, import_from)
    if import_from is not None:
        print(_take(context.obj, "items", import_from, force))
        return
    with open_store(context.obj) as store:
        items = ShopCatalogue(store).items()
    if export_to is not None:
        write_file(export_to, catalogue_csv(items), force)
    elif items:
        from tui.report.money import catalogue_lines

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
    from domain.shop.times import shop_times, times_csv
    from storage.store.shelf import ShopCatalogue

    _one_way(export_to, import_from)
    if import_from is not None:
        print(_take(context.obj, "times", import_from, True))
        return
    with open_store(context.obj) as store:
        table = shop_times(ShopCatalogue(store).times())
    if export_to is not None:
        write_file(export_to, times_csv(table), force)
        return
    from tui.report.money import times_lines

    print("\n".join(times_lines(table)))


def footprints(
    context: typer.Context,
    export_to: ExportOption = None,
    import_from: ImportOption = None,
    force: Annotated[
        bool,
        typer.Option("--force", help="Replace the file; drop hole patterns the import leaves out."),
    ] = False,
) -> None:
    """List the shop's hole patterns of devices; write or take them as CSV."""
    from domain.fabrication.footprints.csv_file import footprints_csv

    _one_way(export_to, import_from)
    if import_from is not None:
        print(_take(context.obj, "footprints", import_from, force))
        return
    with open_store(context.obj) as store:
        library = store.shop().open().document.library
    if export_to is not None:
        write_file(export_to, footprints_csv(library), force)
    elif library.footprints:
        from tui.report.money import footprint_lines

        print("\n".join(footprint_lines(library)))
    else:
        print("no hole patterns: --export FILE writes a file to fill in, --import FILE takes it")


def kits(
    context: typer.Context,
    export_to: ExportOption = None,
    import_from: ImportOption = None,
    force: Annotated[
        bool,
        typer.Option("--force", help="Replace the file; drop kits that the import leaves out."),
    ] = False,
) -> None:
    """List the shop's kits, sets of items under one name; write or take them as CSV."""
    from domain.shop.kits_csv import kits_csv

    _one_way(export_to, import_from)
    if import_from is not None:
        print(_take(context.obj, "kits", import_from, force))
        return
    with open_store(context.obj) as store:
        shop = store.shop().open().document
    if export_to is not None:
        write_file(export_to, kits_csv(shop), force)
    elif shop.kits:
        from tui.report.money import kit_lines

        print("\n".join(kit_lines(shop)))
    else:
        print("no kits: --export FILE writes a file to fill in, --import FILE takes it")


def _take(options: Options, kind: str, file: str, force: bool) -> str:
    """Put what a file holds in the place of what is there; nothing is dropped unless forced."""
    from domain.build.edits import EditRefused
    from domain.csv_cells import CsvRefused
    from domain.shop.csv_files import FILES
    from domain.shop.shop_actions import dropped_by
    from tui.report.plain import some

    try:
        read = FILES[kind].read(read_text(file))
    except CsvRefused as error:
        raise Refused(f"{file}: {error}") from None
    dropped: list[str] = []

    def edit(shop: "Shop") -> "ReplaceTables":
        made = read.taking(shop)
        dropped[:] = dropped_by(shop, made)
        if dropped and not force:
            raise Refused(
                f"{file} leaves out {some(dropped)}, nothing was taken: --export keeps a copy of "
                "what is there, --force drops them"
            )
        return made

    with open_store(options, create=True) as store:
        try:
            # Damaged rows are replaced as well, but not without being told to.
            store.shop().change(edit, FILES[kind].tables if force else ())
        except EditRefused as error:
            raise Refused(f"{file}: {error}; nothing was taken") from None
    return read.said + (f", {len(dropped)} dropped" if dropped else "")


def _one_way(export_to: str | None, import_from: str | None) -> None:
    if export_to is not None and import_from is not None:
        raise Refused("--export and --import go one at a time: first write, then take")
