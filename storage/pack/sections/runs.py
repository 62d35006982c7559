"""The run schedule with the text of every label."""

from domain.units.gauges import gauge_text
from storage.pack.pack_context import Pack
from storage.pack.paper import Column, Paper, Row

COLUMNS = (
    Column("Run", 11, bold=True),
    Column("Name", most=52),
    Column("Length", 24, 1),
    Column("Wire", 20, 1),
    Column("Holds", 15, 1),
    Column("Fuse", 17, 1),
    Column("Full tone", 17, 1),
    Column("Drop", 16, 1),
    Column("Warm", 15, 1),
)


def runs(pack: Pack, paper: Paper) -> None:
    """Every run; the ends and the labels of its pieces below it."""
    paper.words(
        "* set by hand, not calculated.  ? assumed: measure before you cut.  Holds: what the wire "
        "carries there for good. Full tone, drop and temperature: all amplifiers at full tone."
    )
    show = pack.show
    labels: dict[str, list[str]] = {}
    for group in pack.cuts.groups:
        for piece in group.pieces:
            labels.setdefault(piece.run, []).append(piece.label)
    looms = {id: loom.name for loom in pack.sheet.looms for id in loom.runs}
    rows = []
    for run in pack.sheet.runs:
        mark = "?" if run.length_auto else ""
        pinned = "" if run.gauge_auto else " *"
        below = f"From {_short(pack.name(run.source))} to {_short(pack.name(run.target))}. "
        loom = looms.get(run.id)
        below += f"Loom: {_short(loom)}, derated for {run.bundle} together. " if loom else ""
        if run.existing:
            below += "Already in the vehicle: not cut, check it."
        else:
            below += f"{run.polarity.capitalize()}, {run.metal}. "
            texts = labels.get(run.id, [])
            below += f"{'Labels' if len(texts) > 1 else 'Label'}: "
            below += "; ".join(_short(text, 120) for text in texts)
        stops = pack.stops(run.id)
        below += f" {stops}" if stops else ""
        rows.append(
            Row(
                (
                    run.id,
                    run.name or pack.name(run.id),
                    show("length", run.length_m) + mark,
                    gauge_text(run.gauge) + pinned,
                    show("current", run.ampacity_a),
                    pack.fuse(run),
                    show("current", run.design_a),
                    show("voltage", run.drop_v),
                    show("temperature", run.temperature_c),
                ),
                below,
            )
        )
    paper.table(COLUMNS, rows)


def _short(text: str, most: int = 60) -> str:
    return text if len(text) <= most else text[: most - 1] + "…"
