"""The tables of a plain-text sheet, each as lines; no lines where there is nothing to list."""

from domain.build.records import Build, find, label
from domain.sheet import RunResult, Sheet
from domain.topics.shower import Show
from domain.units.show import format_amount
from tui.report.plain import Column, table, wrap

PINNED = "*"
"""Behind a value that the user pinned and the engine did not choose."""

DITTO = '"'


def load(sheet: Sheet, show: Show) -> list[str]:
    """What each amplifier draws, and what is lost on its way there and back."""
    columns = (
        Column("Amplifier", 26),
        Column("Rated", 10, True),
        Column("Eff.", 5, True),
        Column("Full tone", 9, True),
        Column("Programme", 9, True),
        Column("Drop", 8, True),
        Column("feed", 8, True),
        Column("return", 8, True),
    )
    rows = [
        (
            load.name or load.id,
            show("power", load.rated_w),
            show("fraction", load.efficiency),
            show("current", load.design_a),
            show("current", load.programme_a),
            show("voltage", load.drop_v),
            show("voltage", load.drop_feed_v),
            show("voltage", load.drop_return_v),
        )
        for load in sheet.amplifiers
    ]
    return table(columns, rows) if rows else []


def schedule(sheet: Sheet, show: Show) -> list[str]:
    """Every run with its wire, fuse, current, drop and temperature."""
    columns = (
        Column("Id", 5),
        Column("Run", 24),
        Column("Length", 10, True),
        Column("Wire", 9, True),
        Column("Holds", 7, True),
        Column("Fuse", 7, True),
        Column("Full tone", 9, True),
        Column("Drop", 8, True),
        Column("Warm", 7, True),
    )
    rows = [
        (
            run.id,
            run.name,
            show("length", run.length_m) + ("?" if run.length_auto else ""),
            run.gauge + ("" if run.gauge_auto else PINNED),
            show("current", run.ampacity_a),
            _fuse(run, show),
            show("current", run.design_a),
            show("voltage", run.drop_v),
            show("temperature", run.temperature_c),
        )
        for run in sheet.runs
    ]
    if not rows:
        return []
    return [*table(columns, rows), f"{PINNED} pinned by the user   ? assumed, not measured"]


def _fuse(run: RunResult, show: Show) -> str:
    if run.fuse_a is None:
        return "-"
    return show("current", run.fuse_a) + ("" if run.fuse_auto else PINNED)


def fuses(sheet: Sheet, show: Show) -> list[str]:
    """Every fuse, and every run with wire that no fuse guards."""
    columns = (
        Column("Id", 5),
        Column("Run", 24),
        Column("Fuse", 7, True),
        Column("Family", 18),
        Column("At least", 8, True),
        Column("Holds", 7, True),
        Column("Fuse at", 10, True),
        Column("Unguarded", 10, True),
    )
    rows = [
        (
            run.id,
            run.name,
            _fuse(run, show),
            run.fuse_family or "-",
            show("current", run.fuse_least_a),
            show("current", run.ampacity_a),
            show("length", run.fuse_distance_m),
            show("length", run.unprotected_m),
        )
        for run in sheet.runs
        if run.fuse_a is not None or (run.unprotected_m and not run.existing)
    ]
    return table(columns, rows) if rows else []


def grounds(build: Build, sheet: Sheet, show: Show) -> list[str]:
    """Every ground point with the body's resistance and what it costs."""
    columns = (
        Column("Ground point", 26),
        Column("Surface", 20),
        Column("Wires", 5, True),
        Column("Path", 10, True),
        Column("Full tone", 9, True),
        Column("Rise", 9, True),
    )
    rows = [
        (
            ground.name or ground.id,
            _surface(build, ground.id),
            str(ground.wires),
            show("resistance", ground.resistance_ohm) + ("?" if ground.resistance_auto else ""),
            show("current", ground.design_a),
            show("voltage", ground.rise_v),
        )
        for ground in sheet.grounds
    ]
    return table(columns, rows) if rows else []


def _surface(build: Build, id: str) -> str:
    point = find(build, id)
    surface = str(getattr(point, "surface", "-"))
    return f"{surface}, signal" if getattr(point, "signal", False) else surface


def offsets(build: Build, sheet: Sheet, show: Show) -> list[str]:
    """How far each amplifier's ground lies above the signal's, and the way back from it."""
    columns = (Column("Amplifier", 26), Column("Offset", 9, True), Column("Way back", 40))
    rows = [
        (
            load.name or load.id,
            show("voltage", load.ground_offset_v),
            ", ".join(_way_back(build, load.id, load.return_runs)) or "none",
        )
        for load in sheet.amplifiers
    ]
    if not rows:
        return []
    marked = ", ".join(label(build, point.id) for point in build.grounds if point.signal)
    against = f"the signal's ground, {marked}" if marked else "the body: no ground is the signal's"
    return [*wrap(f"Offset at full tone, against {against}:"), *table(columns, rows)]


def _way_back(build: Build, amplifier: str, runs: tuple[str, ...]) -> list[str]:
    """Every run and device on the way from an amplifier's ground terminal, the body between."""
    names: list[str] = []
    here = amplifier
    for run in (find(build, id) for id in runs):
        if run is None:
            continue
        ends = [run.source, run.target]
        if here not in ends:
            grounds = [point.id for point in build.grounds if point.id in ends]
            here = grounds[0] if grounds else ends[0]
            names += ["body", label(build, here)]
        ends.remove(here)
        here = ends[0]
        names += [label(build, run.id), label(build, here)]
    return names


def looms(sheet: Sheet, show: Show) -> list[str]:
    """Every loom, stretch by stretch: how thick it is, its tube, and what lies in it."""
    columns = (
        Column("Loom", 20),
        Column("From", 12, True),
        Column("to", 12, True),
        Column("Bundle", 9, True),
        Column("Tube", 10),
        Column("Runs", 28),
    )
    rows = [
        (
            loom.name,
            show("length", stretch.start_m) if stretch.start_m else "its start",
            show("length", stretch.end_m),
            show("small_length", stretch.bundle_m),
            stretch.tube or ("too large" if loom.sleeved else "bare"),
            ", ".join(stretch.runs),
        )
        for loom in sheet.looms
        for stretch in loom.stretches
    ]
    return table(columns, rows) if rows else []


def materials(build: Build, sheet: Sheet) -> list[str]:
    """What to buy, by group; a note that the line above has too is a ditto mark."""
    columns = (
        Column("Item", 36),
        Column("Size", 24),
        Column("Buy", 10, True),
        Column("Note", 24),
    )
    rows: list[tuple[str, ...]] = []
    group = note = ""
    for line in sheet.materials:
        if line.group != group:
            rows.append((line.group, "", "", ""))
            note = ""
        repeated = bool(note) and line.note == note
        group, note = line.group, line.note
        bought = format_amount(line.quantity, line.unit, build.header.units)
        rows.append((f"  {line.item}", line.size, bought, DITTO if repeated else note))
    return table(columns, rows) if rows else []
