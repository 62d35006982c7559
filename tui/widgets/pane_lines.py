"""The sheet as the lines of the live pane and of the strip. Draws nothing, computes nothing.

The pane begins with the finding at hand, beside a table in a block of fixed height, so that the
figures below stay where they are while one types. ``*`` before a line: it changed with the last
edit; the figure that it had stands in brackets.
"""

from collections.abc import Container, Iterable, Sequence

from msgspec import Struct
from rich.cells import cell_len

from domain.build.choices import Polarity
from domain.build.records import Build
from domain.document.kept import kept
from domain.document.records import find, label
from domain.findings import Finding, Level
from domain.sheet import MaterialLine, NetworkState, RunResult, Sheet
from domain.ties import first_most
from domain.topics.shower import Show, shower
from domain.units.gauges import format_gauge
from domain.units.show import format_amount, format_signed
from tui.tables.level_styles import LEVEL_STYLES
from tui.widgets.cell_text import cut, left, right, wrap
from tui.widgets.line_view import Line, Span, plain_line

BLOCK_LINES = 9
"""Height of the block for the finding at hand."""

_LEVELS = (Level.STOP, Level.FIX, Level.NOTE)


_WIDE = 11
"""Cells for a figure: "12 h 50 min"."""


class _Row(Struct, frozen=True):
    """A label with figures that are followed from edit to edit."""

    key: str
    label: str
    figures: tuple[str, ...]
    widths: tuple[int, ...]
    target: str = ""
    telling: tuple[int, ...] = (0,)
    """Which figure's old value to tell, the most telling first."""


def sorted_findings(sheet: Sheet) -> list[Finding]:
    """The findings, stops first, then fixes, then notes, else in the engine's order."""
    return sorted(sheet.findings, key=lambda f: _LEVELS.index(f.level))


def finding_target(place: int) -> str:
    """What a click on a finding chooses."""
    return f"finding:{place}"


def pane_lines(
    build: Build,
    sheet: Sheet,
    width: int,
    at_hand: int = 0,
    before: Sheet | None = None,
    settled: Sheet | None = None,
    mending: str = "",
    full: bool = False,
    seen: range | None = None,
) -> list[Line]:
    """Every line of the live pane, ``width`` cells wide.

    ``mending`` is what the edit is called that mends the finding at hand, if there is one.
    In ``full`` nobody types beside it: the block for the finding is as high as that.

    ``before`` is the sheet before the last edit. While a value is being typed, ``settled`` is
    the sheet of the last edit: lines and labels stay those of it, and only figures and the
    number of findings follow ``sheet``, each in its place, so that little is sent at each key;
    of these only the lines in ``seen``, by their place, where that is given.
    """
    settled = settled or sheet
    block = _block(sheet, settled, width, at_hand, mending)
    lines = [*block, plain_line("")] if full else _of_fixed_height(block)
    rows, below = _laid_out(build, settled, before, width)
    first = len(lines)
    lines += below
    if sheet is settled:
        return lines
    wanted = {laid.row.key for place, laid in rows if seen is None or first + place in seen}
    if any(key.startswith(MATERIALS) for key in wanted):
        wanted.add(MATERIALS)
    now = {row.key: row.figures for row in _figure_rows(build, sheet, wanted)}
    for place, laid in rows:
        if laid.row.key in wanted:
            shown = now.get(laid.row.key, ("-",) * len(laid.row.figures))
            if shown != laid.row.figures:
                lines[first + place] = _row_line(laid, shown, width)
    return lines


class _LaidRow(Struct, frozen=True):
    """A row, and the one that stood there before the last edit; ``None``: there was none."""

    row: _Row
    was: _Row | None


@kept(2)
def _laid_out(
    build: Build, sheet: Sheet, before: Sheet | None, width: int
) -> tuple[tuple[tuple[int, _LaidRow], ...], tuple[Line, ...]]:
    """The lines below the block for the finding at hand, and the rows in them by their place.

    They stay while a value is being typed.
    """
    old = {row.key: row for row in _figure_rows(build, before)} if before else None
    rows: list[tuple[int, _LaidRow]] = []
    lines: list[Line] = []
    section = ""
    for row in _figure_rows(build, sheet):
        title = row.key.split(":")[0]
        if title != section:
            section = title
            lines.append(plain_line(cut(f" {_HEADINGS[title]} ", width), "bold reverse"))
        laid = _LaidRow(row, row if old is None else old.get(row.key))
        rows.append((len(lines), laid))
        lines.append(_row_line(laid, row.figures, width))
    return tuple(rows), (*lines, *_findings(sheet, width))


def _row_line(laid: _LaidRow, shown: tuple[str, ...], width: int) -> Line:
    """Mark, figures, label, and behind it what changed figures were before.

    The figures stand first because a line is sent from its beginning to its last change.
    """
    row, was = laid.row, laid.was
    mark, gone = " ", ""
    if was is None:
        mark = "*"
    elif was.figures != row.figures:
        mark = "*"
        changed = [i for i in row.telling if was.figures[i] != row.figures[i]]
        gone = f" (was {was.figures[changed[0]]})" if changed else ""
    figures = "".join(right(f, w) for f, w in zip(shown, row.widths, strict=True))
    room = width - 2 - sum(row.widths)
    name = cut(row.label, max(room - cell_len(gone), min(room, 6)))
    return Line((Span(mark + figures), Span(" " + cut(name + gone, room))), row.target)


_HEADINGS = {
    "load": "Load",
    "supply": "Supply",
    "runs": " drop   temp gauge   fuse Runs",
    "remotes": "Remote outputs",
    "state": "Worst condition",
    "materials": "Materials",
    "parts": "Custom parts",
}


def _figure_rows(
    build: Build, sheet: Sheet, wanted: Container[str] | None = None
) -> Iterable[_Row]:
    """The rows of a sheet; those ``wanted`` at least, by their key, where that is given.

    Materials are worked out when they are looked at: not for a row that nobody wants.
    """
    show = shower(build)
    yield from _load(sheet, show)
    yield from _supply(build, sheet, show)
    yield from (
        _run(build, run) for run in sheet.runs if wanted is None or f"runs:{run.id}" in wanted
    )
    yield from _remotes(sheet, show)
    yield from _states(build, sheet)
    if wanted is None or MATERIALS in wanted:
        yield from (_material(build, line, place) for place, line in enumerate(sheet.materials))


MATERIALS = "materials:"
"""Begins the key of every row of materials; alone it wants them all."""


def _load(sheet: Sheet, show: Show) -> Iterable[_Row]:
    supply = sheet.supply
    yield _Row(
        "load:full", "full power", (show("current", supply.design_a),), (_WIDE,), _why("design_a")
    )
    yield _Row(
        "load:programme",
        "average",
        (show("current", supply.programme_a),),
        (_WIDE,),
        _why("programme_a"),
    )
    worst = max(
        (a for a in sheet.loads if a.drop_v is not None),
        key=lambda a: a.drop_v or 0.0,
        default=None,
    )
    if worst is not None:
        yield _Row(
            "load:worst",
            f"worst drop, {worst.name}",
            (show("voltage", worst.drop_v),),
            (_WIDE,),
            f"amp:{worst.id}",
        )


def _supply(build: Build, sheet: Sheet, show: Show) -> Iterable[_Row]:
    supply = sheet.supply
    driving, idle = supply.cruise_balance_a, supply.idle_balance_a
    for key, name, shown, field in (
        (
            "cruise",
            _spare(driving, "driving"),
            _signed(build, driving),
            "cruise_balance_a",
        ),
        (
            "idle",
            _spare(idle, "at idle"),
            _signed(build, idle),
            "idle_balance_a",
        ),
        (
            "half",
            "to half charge at idle",
            show("minutes", supply.minutes_to_half_idle),
            "minutes_to_half_idle",
        ),
        ("play", "to half, engine off", show("minutes", supply.play_minutes), "play_minutes"),
        ("sag", "sag at the post", show("voltage", supply.sag_v), "sag_v"),
    ):
        yield _Row(f"supply:{key}", name, (shown,), (_WIDE,), _why(field))


def _spare(balance_a: float, when: str) -> str:
    """What the balance of the supply is called, more than nothing or less."""
    return f"{'lacking' if balance_a < 0 else 'spare'}, {when}"


def _why(field: str) -> str:
    """What a click on a figure of the supply chooses: its workings."""
    return f"figure:{field}"


def _run(build: Build, run: RunResult) -> _Row:
    show = shower(build)
    figures = (
        show("voltage", run.drop_v),
        show("temperature", run.temperature_c),
        ("~" if run.gauge_auto else "") + format_gauge(run.gauge, run.count),
        ("~" if run.fuse_auto and run.fuse_a is not None else "") + show("current", run.fuse_a),
    )
    name = _run_label(build, run)
    return _Row(f"runs:{run.id}", name, figures, (6, 7, 6, 7), f"run:{run.id}", (2, 3, 0, 1))


def _run_label(build: Build, run: RunResult) -> str:
    record = find(build, run.id)
    if record is not None and record.name:
        return str(record.name)
    if run.polarity == Polarity.GROUND:
        return f"{label(build, run.source)} ground"
    return label(build, run.target)


def _remotes(sheet: Sheet, show: Show) -> Iterable[_Row]:
    """What each remote output gives, of what it can, or to its relay."""
    for remote in sheet.remotes:
        if remote.devices:
            how = "relay" if remote.relay else f"of {show('current', remote.limit_a)}"
            given = show("current", remote.given_a)
            yield _Row(f"remotes:{remote.id}", f"{how}, {remote.name}", (given,), (_WIDE,))


def _states(build: Build, sheet: Sheet) -> Iterable[_Row]:
    worst, show = worst_state(sheet), shower(build)
    if worst is None:
        return
    yield _Row("state:which", worst.title, ("collapses" if worst.collapsed else "OK",), (_WIDE,))
    for id, voltage in worst.amplifier_v.items():
        shown = "shuts down" if id in worst.off else show("voltage", voltage)
        yield _Row(f"state:{id}", label(build, id), (shown,), (_WIDE,), f"amp:{id}")
    for state in sheet.states:
        if state.collapsed:
            blame = label(build, state.blame)
            yield _Row(f"state:c{state.id}", f"voltage collapses: {state.title}", (blame,), (14,))


def worst_state(sheet: Sheet) -> NetworkState | None:
    """The state in which some amplifier sees the lowest voltage."""
    states = [state for state in sheet.states if state.amplifier_v]
    return min(states, key=lambda s: min(s.amplifier_v.values()), default=None)


def asked_target(place: int) -> str:
    """What a click on a line of materials chooses: who asked for it."""
    return f"asked:{place}"


def _material(build: Build, line: MaterialLine, place: int) -> _Row:
    amount = format_amount(line.quantity, line.unit, build.header.units)
    name = f"{line.item} {line.size}".strip()
    key = f"{MATERIALS}{line.group}:{line.item}:{line.size}"
    return _Row(key, name, (amount,), (_WIDE,), asked_target(place), telling=())


def counts(sheet: Sheet) -> str:
    """How many findings of each level: "1 stop, 2 fixes, 3 notes"."""
    plurals = {Level.STOP: "stops", Level.FIX: "fixes", Level.NOTE: "notes"}
    parts = []
    for level in _LEVELS:
        count = sheet.count(level)
        if count:
            parts.append(f"{count} {level.value if count == 1 else plurals[level]}")
    return ", ".join(parts) or "no findings"


def _block(sheet: Sheet, settled: Sheet, width: int, at_hand: int, mending: str = "") -> list[Line]:
    lines = [plain_line(cut(f" Findings: {counts(sheet)} ", width), "bold reverse")]
    findings = sorted_findings(settled)
    if findings:
        place = min(at_hand, len(findings) - 1)
        room = BLOCK_LINES - 1 - (2 if mending else 0)
        lines += _finding(findings[place], place, width, _shares(findings[place], width, room))
        if mending:
            told = _most(wrap(f"ctrl+e fixes it: {mending}", width - 2), 2, width - 2)
            lines += [plain_line(f"  {text}", "bold", "mend") for text in told]
    return lines


def _of_fixed_height(block: list[Line]) -> list[Line]:
    """The block for the finding at hand, filled up, so that what is below it never moves."""
    return [*block, *[plain_line("")] * (BLOCK_LINES - len(block))][:BLOCK_LINES]


def _finding(
    finding: Finding, place: int, width: int, most: tuple[int, int, int] = (9, 9, 9)
) -> list[Line]:
    target = finding_target(place)
    head = wrap(f"{finding.level.value.upper()} {finding.what}", width)
    lines = [
        plain_line(text, LEVEL_STYLES[finding.level], target)
        for text in _most(head, most[0], width)
    ]
    why = wrap(finding.why, width - 2)
    lines += [plain_line(f"  {text}", "", target) for text in _most(why, most[1], width - 2)]
    do = wrap(f"do: {finding.do}", width - 2)
    lines += [plain_line(f"  {text}", "", target) for text in _most(do, most[2], width - 2)]
    return lines


def _shares(finding: Finding, width: int, room: int) -> tuple[int, int, int]:
    """Lines for what, why and what to do: two each, and what of the room is left to the rest.

    First to why it is so, which is the longest, and no line to what does not need it.
    """
    needs = (
        len(wrap(f"{finding.level.value.upper()} {finding.what}", width)),
        len(wrap(finding.why, width - 2)),
        len(wrap(f"do: {finding.do}", width - 2)),
    )
    what, why, do = (min(need, 2) for need in needs)
    why = min(needs[1], max(why, room - what - do))
    do = min(needs[2], max(do, room - what - why))
    what = min(needs[0], max(what, room - why - do))
    return what, why, do


def _most(lines: Sequence[str], most: int, width: int) -> list[str]:
    if len(lines) <= most:
        return list(lines)
    return [*lines[: most - 1], cut(" ".join(lines[most - 1 :]), width)]


def _findings(sheet: Sheet, width: int) -> list[Line]:
    findings = sorted_findings(sheet)
    if not findings:
        return []
    lines = [plain_line(" All findings ", "bold reverse")]
    for place, finding in enumerate(findings):
        lines += _finding(finding, place, width)
    return lines


def _signed(build: Build, value: float) -> str:
    return format_signed("current", value, build.header.units)


def strip_lines(
    build: Build, sheet: Sheet, width: int, at_hand: int = 0, mending: str = ""
) -> list[Line]:
    """Three lines with the worst figures, for a terminal too narrow for the pane."""
    supply, show = sheet.supply, shower(build)
    fused = [r for r in sheet.runs if r.fuse_a is not None and not r.existing]
    main = first_most(fused, lambda r: r.design_a * r.count) if fused else None
    drops = [a for a in sheet.loads if a.drop_v is not None]
    worst = max(drops, key=lambda a: a.drop_v or 0.0, default=None)
    first: list[tuple[str, ...]] = [(counts(sheet),)]
    if main is not None:
        each = " each" if main.count > 1 else ""
        carried = show("current", main.design_a * main.count)
        fuse = f"main {carried}, fuse {show('current', main.fuse_a)}{each}"
        first.append((f"{fuse}, wire {format_gauge(main.gauge, main.count)}", fuse))
    if worst is not None:
        drop = f"drop {show('voltage', worst.drop_v)}"
        first.append((f"worst {drop} {worst.name}", f"worst {drop}", drop, ""))
    second: list[tuple[str, ...]] = [
        (f"idle {_signed(build, supply.idle_balance_a)}",),
        (f"driving {_signed(build, supply.cruise_balance_a)}",),
    ]
    state = worst_state(sheet)
    if state is not None:
        low = show("voltage", min(state.amplifier_v.values()))
        said = f"lowest {low}{' collapses' if state.collapsed else ''}"
        second.append((said, f"lowest {low}"))
    second.append((f"engine off {show('minutes', supply.play_minutes)}", ""))
    lines = [
        plain_line(left(fitted_items(first, width), width), "bold reverse", "pane"),
        plain_line(cut(fitted_items(second, width), width), "", "pane"),
    ]
    findings = sorted_findings(sheet)
    if findings:
        place = min(at_hand, len(findings) - 1)
        found = findings[place]
        text = f"{found.level.value.upper()} {found.what}"
        if mending:
            text = f"{cut(text, width - 18)} (ctrl+e fixes it)"
        lines.append(plain_line(cut(text, width), LEVEL_STYLES[found.level], finding_target(place)))
    else:
        lines.append(plain_line("no findings", "", "pane"))
    return lines


def fitted_items(items: Sequence[Sequence[str]], width: int) -> str:
    """Items in one line, each in its longest form that leaves room for those before it.

    The last ones are made shorter first; an empty form leaves an item out.
    """
    forms = [0] * len(items)

    def line() -> str:
        shown = (item[form] for item, form in zip(items, forms, strict=True))
        return " | ".join(text for text in shown if text)

    for place in reversed(range(len(items))):
        while cell_len(line()) > width and forms[place] + 1 < len(items[place]):
            forms[place] += 1
    return line()
