"""The CSV files of what the shop keeps: which tables each holds, how it is written and read."""

from collections.abc import Callable

from msgspec import Struct

from domain.build.edits import ReplaceTables
from domain.fabrication.footprints.csv_file import footprints_csv, read_footprints
from domain.shop.catalogue import catalogue_csv, read_catalogue
from domain.shop.kit_actions import replaced_kits
from domain.shop.kits_csv import kits_csv, read_kits
from domain.shop.shop import ITEMS, KIT_PARTS, KITS, LIBRARY, TIMES, Shop
from domain.shop.shop_actions import replaced_items, replaced_library, replaced_times
from domain.shop.times import default_times, read_times, shop_times, times_csv

Taking = Callable[[Shop], ReplaceTables]
"""Makes the edit that takes what was read, for the shop as it is at that moment."""


class Taken(Struct, frozen=True):
    """What was read of a file: the edit that takes it, and what the shop then holds."""

    taking: Taking
    said: str


class ShopFile(Struct, frozen=True):
    """A kind of file. ``read`` raises ``CsvRefused`` naming every bad line."""

    tables: tuple[str, ...]
    write: Callable[[Shop], str]
    read: Callable[[str], Taken]


def counted(count: int, what: str) -> str:
    """As "1 item" or "3 items"."""
    return f"1 {what}" if count == 1 else f"{count} {what}s"


def _read_items(text: str) -> Taken:
    items = read_catalogue(text)
    many = counted(len(items), "item")
    label = f"take {many} from a file"
    return Taken(lambda shop: replaced_items(shop, items, label), f"the catalogue holds {many}")


def _read_times(text: str) -> Taken:
    own = read_times(text)
    said = f"{len(own)} of {len(default_times())} times are your own, the others are defaults"
    return Taken(lambda shop: replaced_times(own, "take times from a file"), said)


def _read_library(text: str) -> Taken:
    library = read_footprints(text)
    many = counted(len(library.footprints), "hole pattern")
    label = f"take {many} from a file"
    return Taken(lambda shop: replaced_library(shop, library, label), f"the shop holds {many}")


def _read_kits(text: str) -> Taken:
    kits = read_kits(text)
    many = counted(len(kits), "kit")
    label = f"take {many} from a file"
    return Taken(lambda shop: replaced_kits(shop, kits, label), f"the shop holds {many}")


FILES: dict[str, ShopFile] = {
    "items": ShopFile((ITEMS, KIT_PARTS), lambda shop: catalogue_csv(shop.items), _read_items),
    "times": ShopFile((TIMES,), lambda shop: times_csv(shop_times(shop.own_times())), _read_times),
    "footprints": ShopFile(LIBRARY, lambda shop: footprints_csv(shop.library), _read_library),
    "kits": ShopFile((KITS, KIT_PARTS), kits_csv, _read_kits),
}
"""The kinds of files, by what they hold."""
