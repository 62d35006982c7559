"""What the shop keeps beside its builds: items, own times, a library of footprints.

It is a document as a build is, and changes by the same edits. Footprints and studs are the
records of a build's tables of that name.
"""

from collections.abc import Iterable, Mapping
from typing import ClassVar, Self

from msgspec import field

from domain.build.choices import UnitHabit
from domain.build.edits import Scalar
from domain.build.record_kinds.extra_records import PackUnit
from domain.build.records import ID_PREFIX, Build, Footprint, Header, Stud
from domain.document.records import Document, Record
from domain.shop.catalogue import MOST_ITEMS, CatalogueItem
from domain.shop.kit_records import Kit, KitPart
from domain.shop.times import OwnTime, check_time, default_times, operations

ITEMS, TIMES, KITS, KIT_PARTS = "items", "times", "kits", "kit_parts"
LIBRARY = ("footprints", "studs")


class Shop(Document, frozen=True):
    """The shop's own things.

    Names of items are unique, and so are those of the library's footprints: they are what a
    file of them is read by.
    """

    TABLES: ClassVar = {
        ITEMS: CatalogueItem,
        TIMES: OwnTime,
        "footprints": Footprint,
        "studs": Stud,
        KITS: Kit,
        KIT_PARTS: KitPart,
    }
    ID_PREFIX: ClassVar = {
        ITEMS: "i",
        KITS: "q",
        KIT_PARTS: "y",
        **{table: ID_PREFIX[table] for table in LIBRARY},
    }
    REFERENCES: ClassVar = {
        ("footprints", "device"): (),
        ("studs", "footprint"): ("footprints",),
        (KIT_PARTS, "kit"): (KITS,),
        (KIT_PARTS, "item"): (ITEMS,),
    }
    MOST: ClassVar = {ITEMS: MOST_ITEMS}
    NAMELESS: ClassVar = {Stud: "mounting hole", KitPart: "line"}
    FIXED: ClassVar = {TIMES: "the operations stay as they are: only their times are set"}

    items: tuple[CatalogueItem, ...] = ()
    times: tuple[OwnTime, ...] = field(default_factory=operations)
    footprints: tuple[Footprint, ...] = ()
    studs: tuple[Stud, ...] = ()
    kits: tuple[Kit, ...] = ()
    kit_parts: tuple[KitPart, ...] = ()
    units: UnitHabit = UnitHabit.INCH
    """In which its lengths are shown; not stored."""

    @property
    def library(self) -> Build:
        """Its footprints as a build that holds nothing else."""
        return Build(header=Header(units=self.units), footprints=self.footprints, studs=self.studs)

    def own_times(self) -> Mapping[str, float]:
        """Its own figures alone, by the name of the operation."""
        return {time.id: time.value for time in self.times if time.value is not None}

    def habit(self) -> UnitHabit:
        """The units in which its lengths are shown."""
        return self.units

    def name_of(self, record: Record) -> str:
        """A time is called as its operation."""
        if isinstance(record, OwnTime):
            return next(
                (time.title for time in default_times() if time.name == record.id), record.id
            )
        return super().name_of(record)

    def not_there(self, table: str, id: str) -> str:
        """What to say of an item or an operation that is not there."""
        if table == ITEMS:
            number = id.removeprefix("i")
            return f"there is no item {number} in the catalogue: choose one from its list"
        return check_time(id, 0) if table == TIMES else super().not_there(table, id)

    def default_of(self, record: Record, field: str) -> Scalar:
        """The default time of an operation."""
        if isinstance(record, OwnTime) and field == "value":
            return next(time.value for time in default_times() if time.name == record.id)
        return None

    def forbidden(self, before: Self) -> str:
        """Names that are empty or there twice, or more items than a catalogue takes."""
        wrong = ""
        if self.items is not before.items:
            if len(self.items) > MOST_ITEMS:
                return f"a catalogue takes at most {MOST_ITEMS} items, not {len(self.items)}"
            wrong = _bad_names("item", (item.name for item in self.items))
        if not wrong and self.footprints is not before.footprints:
            wrong = _bad_names("footprint", (each.name for each in self.footprints))
        if not wrong and self.kits is not before.kits:
            wrong = _bad_names("kit", (kit.name for kit in self.kits))
        if not wrong and (self.items, self.kit_parts) != (before.items, before.kit_parts):
            wrong = _broken_count(self)
        return wrong


def _bad_names(what: str, names: Iterable[str]) -> str:
    seen: set[str] = set()
    for name in names:
        if not name.strip():
            return f"each {what} in the shop needs a name"
        if name in seen:
            return (
                f"there is {'an' if what == 'item' else 'a'} {what} {name!r} in the shop already: "
                "give this one another name, or change that one"
            )
        seen.add(name)
    return ""


def _broken_count(shop: Shop) -> str:
    """What to say where a kit holds a part of a thing that is counted; empty: none does."""
    items = {item.id: item for item in shop.items}
    for part in shop.kit_parts:
        item = items.get(part.item)
        if item is not None and item.unit is PackUnit.EACH and not float(part.count).is_integer():
            return f"{item.name} is counted: a kit holds a whole number of it, not {part.count:g}"
    return ""
