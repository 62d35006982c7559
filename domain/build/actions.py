"""What a person adds to a build, each as one edit: an amplifier with all that it needs, a further
battery, a copy.

Every function takes a build and returns an edit; nothing is changed until the edit is applied.
"""

from collections.abc import Mapping
from types import MappingProxyType

from domain.build import grounding
from domain.build.choices import LoadKind, Polarity, UnitHabit, Works
from domain.build.edits import (
    AddRecord,
    Batch,
    Edit,
    EditRefused,
    Scalar,
    apply,
)
from domain.build.house_side import house_battery, joined
from domain.build.records import (
    REFERENCES,
    TABLES,
    Appliance,
    Battery,
    Build,
    Run,
    table_of,
)
from domain.document.declared import declared
from domain.document.names import numbered
from domain.document.records import find, label, next_id, records
from domain.reference.planning import planned
from domain.units.unit_table import INCH


def add(build: Build, table: str, **values: Scalar) -> Batch:
    """Add a record to a table, with whatever must come with it."""
    if table == "amplifiers":
        return add_amplifier(build, **values)
    if table == "appliances":
        return add_appliance(build, **values)
    if table == "batteries":
        return _add_battery(build, **values)
    if table == "alternators":
        return _add_alternator(build, **values)
    if table == "parts":
        return _add_part(build, **values)
    if table == "leads":
        return Batch(edits=tuple(remote_lead(build, **values)), label="add a lead")
    if table not in TABLES:
        raise EditRefused(f"there is no table {table!r}")
    values = {**taped(build, table), **_inherited(build, table, values), **values}
    record = {"id": next_id(build, table), **values}
    return Batch(edits=(AddRecord(table=table, record=record),), label=f"add to {table}")


def taped(build: Build, table: str) -> dict[str, Scalar]:
    """Lengths that a new record begins with, in an inch build as a tape has them [m].

    Whole inches from ten on, quarters from one on, else sixteenths; nothing in a metric build.
    """
    if build.header.units is not UnitHabit.INCH:
        return {}
    found: dict[str, Scalar] = {}
    for name, field in declared(TABLES[table]).items():
        if name.endswith("_m") and isinstance(field.default, float) and field.default > 0:
            inches = field.default / INCH.factor
            marks = 1 if inches >= 10 else 4 if inches >= 1 else 16
            found[name] = round(inches * marks) / marks * INCH.factor
    return found


def add_amplifier(build: Build, **values: Scalar) -> Batch:
    """Add an amplifier with its branch from a block, its fuse and its ground run."""
    return _add_taker(build, "amplifiers", "Amp", values)


def add_appliance(build: Build, **values: Scalar) -> Batch:
    """Add a load that plays no music, with its branch from a block, its fuse and its ground run.

    One that works always is fed on the house side, where there is one.
    """
    inverter = values.get("kind") == LoadKind.INVERTER
    called = str(values.get("name") or ("Inverter" if inverter else "Load"))
    taken = [each.name for each in build.appliances]
    free = called.casefold() not in {name.casefold() for name in taken}
    values["name"] = called if free else numbered(called, taken)
    return _add_taker(build, "appliances", called, values)


def _add_taker(
    build: Build,
    table: str,
    called: str,
    values: dict[str, Scalar],
    like: Mapping[Polarity, Mapping[str, Scalar]] = MappingProxyType({}),
) -> Batch:
    """``like``: fields of its feed and of its ground that are not as usual."""
    id = next_id(build, table)
    house = house_battery(build) if _works_always(table, values) else None
    feed = _feeding_device(build, house)
    zone = values.get("zone", zone_of(build, feed))
    values = {**stands_with(build, feed), **values}
    name = values.pop("name", f"{called} {id[1:]}")
    said = f", fed from {label(build, feed)}" if house else ""
    edits: list[Edit] = [
        AddRecord(table=table, record={"id": id, "name": name, "zone": zone, **values})
    ]
    taken: frozenset[str] = frozenset()
    if feed:
        fuse_m = 0.0 if _fused_block(build, feed) else planned("assumed_fuse_m")
        branch = next_id(build, "runs")
        taken = frozenset([branch])
        edits.append(
            AddRecord(
                table="runs",
                record={
                    "id": branch,
                    "source": feed,
                    "target": id,
                    "zone": zone,
                    "fused": True,
                    "fuse_distance_m": fuse_m,
                    **like.get(Polarity.POSITIVE, {}),
                },
            )
        )
    edits += grounding.ground_run(build, id, zone, taken, like.get(Polarity.GROUND, {}))
    if table == "amplifiers":
        edits += remote_lead(build, id)
    return Batch(edits=tuple(edits), label=f"add {name}{said}"[:MOST_LABEL])


def _works_always(table: str, values: Mapping[str, Scalar]) -> bool:
    """Whether what is added draws current while the vehicle stands."""
    usual = Appliance(id="v0")
    works, kind = (values.get(field, getattr(usual, field)) for field in ("works", "kind"))
    return table == "appliances" and works == Works.ALWAYS and kind != LoadKind.CAPACITOR


def remote_lead(build: Build, target: Scalar = "", **values: Scalar) -> list[Edit]:
    """The edits that lead 12 V to what it switches on: from the first remote output of a build.

    Where there is none, the head unit comes along.
    """
    edits: list[Edit] = []
    source = first_id(build, "remotes")
    if not source:
        source = next_id(build, "remotes")
        edits.append(AddRecord(table="remotes", record={"id": source, "name": "Head unit"}))
    lead: dict[str, Scalar] = {"source": source, "target": target, **values}
    return [*edits, AddRecord(table="leads", record={"id": next_id(build, "leads"), **lead})]


_OF_A_COPY = ("count", "metal", "insulation", "cover", "strands", "strand_m")
"""Fields of a wire that the wires of a copied device have too: how it is laid, not how long."""


def _laid_like(build: Build, device: str) -> dict[Polarity, dict[str, Scalar]]:
    """How the one feed and the one ground of a device are laid, where not as usual."""
    found = {}
    for polarity in Polarity:
        own = [r for r in build.runs if r.polarity is polarity and device in (r.source, r.target)]
        if len(own) == 1:
            usual = Run(id=own[0].id)
            found[polarity] = {
                field: getattr(own[0], field)
                for field in _OF_A_COPY
                if getattr(own[0], field) != getattr(usual, field)
            }
    return found


MOST_LABEL = 200
"""Letters that the label of an edit is cut to."""


def duplicate(build: Build, table: str, id: str) -> Batch:
    """Add a copy of a record behind it; a load's copy gets a branch and a ground of its own.

    They are laid as those of the first are, of so many wires, and wait to be measured.
    """
    record = find(build, id)
    if record is None:
        raise EditRefused(f"{table} has no record {id!r}")
    values = record.plain()
    del values["id"]
    if values.get("name"):
        taken = (str(getattr(each, "name", "")) for each in records(build, table))
        values["name"] = numbered(values["name"], taken)
    if table == "alternators" and build.batteries:
        values["vehicle_load_a"] = 0.0  # the vehicle draws it once
    if table in ("amplifiers", "appliances"):
        return _add_taker(build, table, "Load", values, _laid_like(build, id))
    return add(build, table, **values)


def _add_battery(build: Build, **values: Scalar) -> Batch:
    id = next_id(build, "batteries")
    zone = values.get("zone", zone_of(build, "d1") or first_id(build, "zones"))
    values = {**stands_with(build, "d1"), **values}
    name = values.pop("name", f"Battery {id[1:]}")
    edits: list[Edit] = [
        AddRecord(table="batteries", record={"id": id, "name": name, "zone": zone, **values})
    ]
    taken: frozenset[str] = frozenset()
    if build.batteries:
        run = next_id(build, "runs")
        taken = frozenset([run])
        edits.append(
            AddRecord(
                table="runs",
                record={
                    "id": run,
                    "source": build.batteries[0].id,
                    "target": id,
                    "zone": build.batteries[0].zone,
                    "fused": True,
                    "fuse_distance_m": planned("assumed_fuse_m"),
                    "far_fused": True,
                    "far_fuse_distance_m": planned("assumed_fuse_m"),
                },
            )
        )
    edits += grounding.ground_run(build, id, zone, taken)
    return Batch(edits=tuple(edits), label=f"add {name}")


def _add_alternator(build: Build, **values: Scalar) -> Batch:
    """Add an alternator; a further one with its own charge cable, fused at the battery, and ground.

    The battery's ground cables are laid anew then: in a short behind the fuse of the new charge
    cable they bring back all that this fuse lets through, which is more than the vehicle's maker
    laid them for (common practice: grounds grow with the charge cable). The vehicle's own load
    stays on the first: it is drawn once.
    """
    id = next_id(build, "alternators")
    name = values.pop("name", f"Alternator {id[1:]}")
    further = bool(build.alternators)
    load: dict[str, Scalar] = {"vehicle_load_a": 0.0} if further else {}
    edits: list[Edit] = [
        AddRecord(table="alternators", record={"id": id, "name": name, **load, **values})
    ]
    if further and build.batteries:
        battery = build.batteries[0]
        zone = battery.zone or first_id(build, "zones")
        run = next_id(build, "runs")
        named = (r.name for r in build.runs if r.target == battery.id and r.source[:1] == "g")
        cable: dict[str, Scalar] = {
            "id": run,
            "name": numbered(next(named, ""), (r.name for r in build.runs)),
            "source": id,
            "target": battery.id,
            "zone": zone,
            "far_fused": True,
            "far_fuse_distance_m": planned("assumed_fuse_m"),
        }
        edits.append(AddRecord(table="runs", record=cable))
        edits += grounding.ground_run(build, id, zone, frozenset([run]))
        renewed, said = grounding.new_grounds(build, battery.id)
        edits += renewed
        name = f"{name}{said}"[: MOST_LABEL - 4]
    return Batch(edits=tuple(edits), label=f"add {name}")


def usual_part(units: UnitHabit) -> dict[str, Scalar]:
    """Sheet of a part that nobody has said anything about: plain aluminium, 1/8 in or 3 mm."""
    thick = 0.125 * 0.0254 if units is UnitHabit.INCH else 0.003
    return {"material": "aluminium 5052-H32", "thickness_m": thick}


def _add_part(build: Build, **values: Scalar) -> Batch:
    id = next_id(build, "parts")
    name = values.pop("name", f"Part {id[1:]}")
    usual = usual_part(build.header.units)
    return Batch(
        edits=(
            AddRecord(table="parts", record={**usual, "id": id, "name": name, **values}),
            AddRecord(
                table="panels",
                record={
                    **taped(build, "panels"),
                    "id": next_id(build, "panels"),
                    "part": id,
                    "name": "Base",
                },
            ),
        ),
        label=f"add {name}",
    )


def _inherited(build: Build, table: str, given: dict[str, Scalar]) -> dict[str, Scalar]:
    """Values a new record takes from its surroundings, so that it is complete from the start."""
    if table == "panels" and build.parts:
        part = given.get("part", build.parts[-1].id)
        root = next((p.id for p in build.panels if p.part == part and not p.joins), "")
        return {"part": part, "joins": root, "name": "Flange" if root else "Base"}
    if table == "fixings" and build.parts:
        return {"part": given.get("part", build.parts[-1].id)}
    if table == "holes" and build.panels:
        return {"panel": build.panels[-1].id}
    if table == "studs" and build.footprints:
        return {"footprint": build.footprints[-1].id}
    if table == "mounts" and build.footprints and build.panels:
        return {"footprint": build.footprints[-1].id, "panel": build.panels[-1].id}
    if table == "runs":
        return {"zone": first_id(build, "zones")}
    if table == "sections":
        return _next_section(build)
    number = next_id(build, table).lstrip("abcdefghijklmnopqrstuvwxyz")
    named: dict[str, Scalar] = {
        "name": f"{declared(TABLES[table])['name'].about.title} {number}"
        if "name" in declared(TABLES[table])
        else None
    }
    if (table, "zone") in REFERENCES:
        named["zone"] = build.zones[-1].id if build.zones else ""
    return {key: value for key, value in named.items() if value is not None}


def _next_section(build: Build) -> dict[str, Scalar]:
    """A new section goes on from the last one, to the next place that none joins yet."""
    joined = {at for each in build.sections for at in (each.from_place, each.to_place)}
    start = build.sections[-1].to_place if build.sections else first_id(build, "places")
    free = (place.id for place in build.places if place.id not in joined and place.id != start)
    return {"from_place": start, "to_place": next(free, "")}


def stands_with(build: Build, device: str) -> dict[str, Scalar]:
    """The place of a new device: that of the device it joins, where that has one."""
    place = getattr(find(build, device), "place", "")
    return {"place": place} if place else {}


def zone_of(build: Build, device: str) -> str:
    """The location of a device, else the first there is; "": there is none."""
    return str(getattr(find(build, device), "zone", "") or first_id(build, "zones"))


def first_id(build: Build, table: str) -> str:
    """The id of the first record of a table, "" where it has none."""
    return next((record.id for record in records(build, table)), "")


def _fused_block(build: Build, device: str) -> bool:
    record = find(build, device)
    return bool(getattr(record, "fused", False)) and table_of(device) == "blocks"


def _feeding_device(build: Build, house: Battery | None = None) -> str:
    """The block with a free terminal, else the last distribution block, else the last battery.

    On the house side, where its battery is given: of its blocks alike, else that battery.
    """
    side = joined(build, house.id) if house else None
    blocks = [b for b in build.blocks if b.kind.distributes and (side is None or b.id in side)]
    for block in blocks:
        if sum(run.source == block.id for run in build.runs) < block.places:
            return block.id
    if blocks:
        return blocks[-1].id
    if house:
        return house.id
    return build.batteries[-1].id if build.batteries else ""


def applied(build: Build, *edits: Edit) -> Build:
    """The build after these edits, for code that needs no inverse."""
    for edit in edits:
        build, _ = apply(build, edit)
    return build
