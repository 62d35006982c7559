"""Two builds side by side: masses, drops, supply, sizes and findings that differ."""

from collections.abc import Iterable

from domain.build.records import Build, label
from domain.findings import Level
from domain.sheet import RunResult, Sheet
from domain.topics.loads import conductor_kg, worst_drop_v
from domain.topics.shower import Show, shower
from tui.report.plain import WIDTH, Column, table, wrap

Pair = tuple[RunResult | None, RunResult | None]


def comparison(one: tuple[Build, Sheet], other: tuple[Build, Sheet]) -> str:
    """Two builds with their sheets as text, in the units of the first, ending in a newline."""
    (build, sheet), (build_b, sheet_b) = one, other

    show = shower(build)
    lines = [
        *wrap(build.header.title or "Untitled build", "A  "),
        *wrap(build_b.header.title or "Untitled build", "B  "),
        "=" * WIDTH,
    ]
    a, b = _figures(sheet), _figures(sheet_b)
    rows = [
        (name, show(kind, a[name, kind]), show(kind, b[name, kind]), _change(a, b, name, kind))
        for name, kind in a
    ]
    rows += [
        (f"Findings: {level}", str(n), str(m), f"{m - n:+d}" if m != n else "")
        for level in Level
        for n, m in [(sheet.count(level), sheet_b.count(level))]
    ]
    columns = (Column("", 24), *(Column(t, 14, True) for t in ("A", "B")), Column("B to A", 20))
    lines += table(columns, rows)
    for title, body in (
        ("Wire and fuses that differ", _runs(pairs(sheet.runs, sheet_b.runs), show)),
        ("Findings of A alone", _findings(build, sheet, build_b, sheet_b)),
        ("Findings of B alone", _findings(build_b, sheet_b, build, sheet)),
    ):
        lines += ["", title.upper(), *(body or ["none"])]
    return "\n".join(lines) + "\n"


def pairs(one: Iterable[RunResult], other: Iterable[RunResult]) -> list[Pair]:
    """Runs of two builds that go by the same name, then those that only one of them has."""
    left = list(other)
    found: list[Pair] = []
    for run in one:
        same = [each for each in left if each.name == run.name]
        twin = next((each for each in same if each.id == run.id), same[0] if same else None)
        if twin:
            left.remove(twin)
        found.append((run, twin))
    return [*found, *((None, run) for run in left)]


def _figures(sheet: Sheet) -> dict[tuple[str, str], float | None]:
    supply = sheet.supply
    return {
        ("Conductor to buy", "mass"): conductor_kg(sheet),
        ("Worst drop", "voltage"): worst_drop_v(sheet),
        ("Full tone draws", "current"): supply.design_a,
        ("Programme draws", "current"): supply.programme_a,
        ("Balance at cruise", "current"): supply.cruise_balance_a,
        ("Balance at idle", "current"): supply.idle_balance_a,
        ("Engine off, half charge", "minutes"): supply.play_minutes,
        ("Sag at the posts", "voltage"): supply.sag_v,
    }


def _change(
    a: dict[tuple[str, str], float | None], b: dict[tuple[str, str], float | None], *key: str
) -> str:
    before, after = a[key[0], key[1]], b[key[0], key[1]]
    if not before or after is None or abs(after - before) < 1e-9 * abs(before):
        return ""
    return f"{(after - before) / abs(before):+.1%}"


def _runs(found: list[Pair], show: Show) -> list[str]:
    columns = (
        Column("Run", 40),
        *(Column(title, 14) for title in ("Wire A", "Wire B")),
        *(Column(title, 8, True) for title in ("Fuse A", "Fuse B")),
    )
    rows = [
        (a.name if a else b.name if b else "", *_wires(a, b), *_fuses(a, b, show))
        for a, b in found
        if len({*_wires(a, b)}) + len({*_fuses(a, b, show)}) > 2
    ]
    return table(columns, rows) if rows else []


def _wires(a: RunResult | None, b: RunResult | None) -> tuple[str, str]:
    return _wire(a), _wire(b)


def _fuses(a: RunResult | None, b: RunResult | None, show: Show) -> tuple[str, str]:
    return _fuse(a, show), _fuse(b, show)


def _wire(run: RunResult | None) -> str:
    if run is None:
        return "no such run"
    return run.gauge if run.metal == "copper" else f"{run.gauge} {run.metal}"


def _fuse(run: RunResult | None, show: Show) -> str:
    return show("current", run.fuse_a if run else None)


def _findings(build: Build, sheet: Sheet, other: Build, beside: Sheet) -> list[str]:
    """Findings that the other build has not, by code and the name of what they are about."""
    known = {(f.code, label(other, f.id) if f.id else "") for f in beside.findings}
    lines = []
    for f in sheet.findings:
        if (f.code, label(build, f.id) if f.id else "") not in known:
            lines += wrap(f"{f.what} [{f.code}]", f"{f.level.upper():<5}", " " * 5)
    return lines
