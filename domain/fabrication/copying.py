"""A copy of a whole part: its panels as they join, its holes, and what is mounted on it."""

from domain.build.edits import AddRecord, Batch, Edit, EditRefused, Scalar
from domain.build.records import Build, Part
from domain.document.names import numbered
from domain.document.records import find, next_id, records


def copy_part(build: Build, part_id: str) -> Batch:
    """Add a copy of a part with all that is its own. ``EditRefused`` where there is no such part.

    Footprints belong to devices and are shared by both.
    """
    part = find(build, part_id)
    if not isinstance(part, Part):
        raise EditRefused(f"parts has no record {part_id!r}")
    name = numbered(part.name, (each.name for each in build.parts))
    ids = {part.id: next_id(build, "parts"), "": ""}
    values = part.plain()
    edits: list[Edit] = [
        AddRecord(table="parts", record={**values, "id": ids[part.id], "name": name})
    ]
    taken: frozenset[str] = frozenset()
    panels = [panel for panel in build.panels if panel.part == part.id]
    waiting = sorted(panels, key=lambda panel: bool(panel.joins))
    while waiting:
        ready = [panel for panel in waiting if panel.joins in ids]
        # Panels that join each other in a ring, or one of another part, cannot wait for it.
        panel = ready[0] if ready else waiting[0]
        waiting.remove(panel)
        new = next_id(build, "panels", taken)
        taken |= {new}
        record = {
            **panel.plain(),
            "id": new,
            "part": ids[part.id],
            "joins": ids.get(panel.joins, ""),
        }
        ids[panel.id] = new
        edits.append(AddRecord(table="panels", record=record))
    for fixing in build.fixings:
        if fixing.part == part.id:
            ids[fixing.id] = next_id(build, "fixings", taken)
            taken |= {ids[fixing.id]}
            copied = {**fixing.plain(), "id": ids[fixing.id], "part": ids[part.id]}
            edits.append(AddRecord(table="fixings", record=copied))
    for table in ("holes", "mounts"):
        for record_here in records(build, table):
            if record_here.panel not in ids or not record_here.panel:
                continue
            new = next_id(build, table, taken)
            taken |= {new}
            own: dict[str, Scalar] = record_here.plain()
            own |= {"id": new, "panel": ids[record_here.panel]}
            if table == "holes":
                own["fixing"] = ids.get(record_here.fixing, "")
            edits.append(AddRecord(table=table, record=own))
    return Batch(edits=tuple(edits), label=f"copy {part.name or part.id}")
