"""The commands for what the shop keeps beside its builds: its catalogue and its times.

They end as those of ``tui.commands`` do; what they need is imported when they run.
"""

from typing import Annotated

import typer

from tui.choosing import Options, open_store
from tui.exits import Refused
from tui.printing import ForceOption, read_text, write_file

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


def _take_catalogue(options: Options, file: str, force: bool) -> str:
    """Put a file's items in the place of the catalogue; none is dropped unless forced."""
    from domain.money.catalogue import read_catalogue
    from domain.money.cells import CsvRefused
    from storage.catalogue import ShopCatalogue
    from tui.plain import fit

    try:
        items = read_catalogue(read_text(file))
    except CsvRefused as error:
        raise Refused(f"{file}: {error}") from None
    with open_store(options, create=True) as store:
        shop = ShopCatalogue(store)
        kept = {item.name for item in items}
        dropped = [item.name for item in shop.items() if item.name not in kept]
        if dropped and not force:
            names = ", ".join(fit(name, 30) for name in dropped[:3])
            more = f" and {len(dropped) - 3} more" if len(dropped) > 3 else ""
            raise Refused(
                f"{file} leaves out {names}{more}, nothing was taken: --export keeps a copy of "
                "the catalogue, --force drops them"
            )
        shop.replace_all(items)
    said = "1 item" if len(items) == 1 else f"{len(items)} items"
    return f"the catalogue holds {said}" + (f", {len(dropped)} dropped" if dropped else "")


def _take_times(options: Options, file: str) -> str:
    """Put a file's times in the place of the shop's own."""
    from domain.money.cells import CsvRefused
    from domain.money.times import default_times, read_times
    from storage.catalogue import ShopCatalogue

    try:
        own = read_times(read_text(file))
    except CsvRefused as error:
        raise Refused(f"{file}: {error}") from None
    with open_store(options, create=True) as store:
        ShopCatalogue(store).replace_times(own)
    return f"{len(own)} of {len(default_times())} times are your own, the others are defaults"


def _one_way(export_to: str | None, import_from: str | None) -> None:
    if export_to is not None and import_from is not None:
        raise Refused("--export and --import go one at a time: first write, then take")
