"""Figures of the sheet as cells show them, and what stands behind an auto cell."""

from typing import Any

from msgspec import Struct

from domain.build.choices import BlockKind, Isolates
from domain.build.dialect import words_of
from domain.build.edits import Scalar
from domain.build.records import Build
from domain.electrical.network.voltage_relays import by_voltage
from domain.reference.planning import planned
from domain.routes.ways import section_m
from domain.sheet import Sheet
from domain.topics.tables import Subject, Table
from domain.units.habit import UnitHabit
from domain.units.show import NOTHING
from domain.units.unit_table import INCH

_RELAY = ("part_v", "join_s", "part_s")
"""Fields of a relay that joins by voltage, each with a planning value."""


def auto_value(build: Build, sheet: Sheet, table: str, record: Any, field: str) -> Scalar:
    """What the engine takes for a field that was left to it; ``None`` where it takes nothing."""
    if table == "runs":
        run = sheet.run(record.id)
        if run is None:
            return None
        chosen: dict[str, Scalar] = {
            "length_m": run.length_m,
            "slack_m": _taped(build, max(run.wire_m - run.length_m, 0.0)),
            "gauge": run.gauge,
            "fuse_a": run.fuse_a,
            "fuse_family": run.fuse_family or None,
            "fuse_distance_m": run.fuse_distance_m,
            "breaks_a": getattr(sheet.study(record.id), "breaking_a", None),
            "bundle": run.bundle,
            "cover": run.cover,
        }
        return chosen.get(field)
    if table == "sections" and field == "length_m":
        return section_m(record, build.header.units)
    if table == "header" and field == "words":
        return words_of(build.header)
    if table in ("amplifiers", "appliances") and field == "efficiency":
        load = sheet.load(record.id)
        return load.efficiency if load else None
    if table == "amplifiers" and field == "largest_wire":
        from domain.electrical.loads import largest_wire

        return largest_wire(record)
    if table == "alternators" and field == "hot":
        return False  # as on the plate, until somebody says more
    if table == "alternators" and field == "idle_a" and len(build.alternators) == 1:
        return sheet.supply.idle_a
    if table == "alternators" and field in ("smart", "low_v", "high_v"):
        return _regulation(build, record, field)
    if table == "blocks" and field == "isolates" and record.kind is BlockKind.ISOLATOR:
        return Isolates.RELAY
    if table == "blocks" and field in _RELAY and by_voltage(record):
        return planned(f"relay_{field}")
    if table == "blocks" and field in ("bar_width_m", "bar_thick_m"):
        bar = next((b.bar_m for b in sheet.blocks if b.id == record.id), None)
        return bar[field == "bar_thick_m"] if bar else None
    if table == "blocks" and field in ("largest_in", "largest_out"):
        return next((getattr(b, field) for b in sheet.blocks if b.id == record.id), None)
    if table in ("remotes", "leads"):
        return _of_leads(build, sheet, table, record, field)
    if table == "blocks" and field == "peak_a":
        return next((r.passes_a for r in sheet.isolators if r.id == record.id), None)
    if table == "grounds" and field == "resistance_ohm":
        return next((g.resistance_ohm for g in sheet.grounds if g.id == record.id), None)
    return None


def _regulation(build: Build, alternator: Any, field: str) -> Scalar:
    """How an alternator is regulated where that is not said; voltages only of a smart one."""
    from domain.electrical.network.charge_reach import is_smart, overrun_v, road_v

    smart = is_smart(build, alternator)
    if field == "smart":
        return smart
    if not smart:
        return None
    return road_v(build, alternator) if field == "low_v" else overrun_v(build, alternator)


def _taped(build: Build, length_m: float) -> float:
    """A length that was settled on, as it is shown: in inches to the nearest quarter [m]."""
    if build.header.units is not UnitHabit.INCH:
        return length_m
    return round(length_m / INCH.factor * 4) / 4 * INCH.factor


def _of_leads(build: Build, sheet: Sheet, table: str, record: Any, field: str) -> Scalar:
    """What is taken for a field of a remote output or a lead."""
    own = [lead for lead in sheet.leads if lead.record == record.id]
    if table == "leads":
        if field == "draws_a":
            from domain.electrical.switching import draws_a

            return draws_a(build, record) if own and own[0].carries_a is not None else None
        known = {"length_m": own[0].length_m, "gauge": own[0].gauge or None} if own else {}
        return known.get(field)
    remote = next((each for each in sheet.remotes if each.id == record.id), None)
    if remote is None:
        return None
    if field in ("coil_m", "feed_m"):
        part = field.removesuffix("_m")
        return next((lead.length_m for lead in own if lead.id == f"{remote.id}.{part}"), None)
    chosen: dict[str, Scalar] = {"limit_a": remote.limit_a, "relay": remote.relay}
    return chosen.get(field)


class OfTopic(Struct, frozen=True):
    """Prints a column of a topic in a grid, whose row goes by the id of the topic's."""

    topic: Table[Any]
    key: str

    @property
    def says(self) -> str:
        """What the figure is."""
        return self.topic.by_key[self.key].says

    def __call__(self, build: Build, sheet: Sheet, record: Any) -> str:
        """The figure of a record."""
        subject = Subject(build, sheet)
        row = next((each for each in self.topic.rows(subject) if each.id == record.id), None)
        return NOTHING if row is None else self.topic.by_key[self.key].cell(subject, row)


def shown_by(topic: Table[Any], key: str) -> OfTopic:
    """What prints this column of a topic."""
    return OfTopic(topic, topic.by_key[key].key)
