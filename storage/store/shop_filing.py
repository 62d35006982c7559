"""Where what the shop keeps stands in the file: a start that shows a build knows nothing of it."""

import re

from domain.build.choices import UnitHabit
from domain.shop.shop import ITEMS, KIT_PARTS, KITS, TIMES, Shop
from storage.errors import StoreError
from storage.store.filing import Filing

SHOP_TABLES = {
    ITEMS: "catalogue",
    TIMES: "labour_time",
    "footprints": "shop_footprint",
    "studs": "shop_stud",
    KITS: "shop_kit",
    KIT_PARTS: "shop_kit_part",
}
"""The shop's tables in the file."""


def of_shop(units: UnitHabit = UnitHabit.INCH) -> Filing[Shop]:
    """What the shop keeps; lengths of its library are shown in ``units``."""
    return Filing(
        "the shop",
        Shop(units=units),
        None,
        SHOP_TABLES,
        "shop_journal",
        "SELECT coalesce(max(revision), 0) FROM shop_journal",
        _shop_damaged,
        "what the shop keeps is whole, but no earlier change of it can be taken back",
    )


def _shop_damaged(what: str) -> StoreError:
    table = re.split("[ :]", what)[0]
    called = f"{table.removesuffix('s')}{what.removeprefix(table)}"
    called = re.sub(r"^item i(?=\d)", "item ", called)
    whole, command = {
        ITEMS: ("the catalogue is", "catalogue --import FILE --force"),
        TIMES: ("the shop's times are", "times --import FILE"),
        **dict.fromkeys((KITS, KIT_PARTS), ("the shop's kits are", "kits --import FILE --force")),
    }.get(table, ("the shop's hole patterns are", "footprints --import FILE --force"))
    again = "it" if table == ITEMS else "them"
    return StoreError(
        f"{whole} damaged in {called}; nothing was changed: take {again} from a CSV file again, "
        f"as with 'mainrun {command}'"
    )
