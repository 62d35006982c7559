"""The wiring drawn row by row, with the figures of each wire beside it, and the form below it."""

from collections.abc import Callable, Iterator
from typing import Any

from msgspec import Struct

from domain.build import actions
from domain.build.choices import Polarity
from domain.build.edits import Edit
from domain.build.records import Alternator, Amplifier, Appliance, Battery, Block, Build, Run
from domain.document.records import find, label
from domain.electrical.loads import rated_w
from domain.findings import Level
from domain.sheet import Sheet
from domain.topics.tables import Subject
from domain.topics.wiring import Row, foldable, size, wiring_rows
from tui.tables.columns import AUTO, Borrowed, Column, Figure, Fuse
from tui.tables.lead_rows import lead_rows
from tui.tables.level_styles import BAD
from tui.tables.limb_figures import BY_KEY, PLAIN, Look, state_title
from tui.tables.power_columns import RunLength
from tui.tables.table_spec import TableSpec

SIGNS = {Level.STOP: "!!", Level.FIX: "! ", Level.NOTE: "  "}
"""What stands before a row where something is wrong."""

NOWHERE = "-"
"""Id of the row of runs that begin at no device."""

NEXT_AMPLIFIER, FIRST_BATTERY = "+amplifier", "+battery"
"""Ids of the rows that stand ready for what is not there yet."""


class WiringRow(Struct, frozen=True):
    """A device with the wire that leads to it, drawn; a source stands without a wire."""

    id: str
    device: str
    run: Run | None
    text: str
    again: bool
    figure: str = ""
    feeder: str = ""
    """The device that it hangs on."""
    folds: bool = False
    """Whether what is behind it can be folded away, or is."""
    column: Column | None = None
    """What is typed into its drawing, where it stands ready for a new device."""
    leads: tuple[str, ...] = ()
    """An output and its leads, which are no limb of the drawing: ids of what its form is of."""

    def subject(self, build: Build) -> Any:
        """What is typed here is of no record yet."""
        return self


class Drawn(Figure, frozen=True):
    """The drawing: a row that fails stands out."""

    @property
    def why_fixed(self) -> str:
        """What to do instead of typing."""
        return "Enter opens all that there is to say of it; its figures stand beside it"

    def described(self, build: Build) -> str:
        """What the keys do here."""
        return (
            "Enter: its fields; ^N adds behind it, ^R feeds it from elsewhere; space folds; "
            "left: what feeds it; ^X takes it out. "
            "═ positive, ─ ground, ┈ lead, [fuse], ┄ ahead of it, ┴ body, ^ drawn above, ▸ folded"
        )

    def style(self, text: str) -> str:
        """By its sign."""
        if text.startswith(SIGNS[Level.STOP]):
            return BAD
        if text.startswith("  +"):
            return "dim"
        return "bold" if text.startswith(SIGNS[Level.FIX]) else ""


class Ready(Column, frozen=True):
    """A row that stands ready for a device that is not there yet: what is typed there makes it."""

    @property
    def id(self) -> str:
        """It stands in the drawing."""
        return DRAWING

    @property
    def after_enter(self) -> str:
        """The next one can be typed at once."""
        return "stay"

    @property
    def optional(self) -> bool:
        """Nothing is left to the engine."""
        return False

    @property
    def has_choices(self) -> bool:
        """It is typed."""
        return False

    def shown(self, build: Build, sheet: Sheet, record: Any) -> str:
        """What to type."""
        return str(record.text)

    def opened(self, build: Build, sheet: Sheet, record: Any) -> str:
        """Nothing is there yet."""
        return ""

    def given_back(self, record: Any) -> Edit | None:
        """Nothing is there yet."""
        return None

    def pinned(self, document: Any, sheet: Any, record: Any) -> Edit | None:
        """Nothing is there yet."""
        return None

    def stepped(self, build: Build, record: Any) -> Edit | None:
        """There is nothing to choose from."""
        return None

    def options(self, document: Any, record: Any) -> list[tuple[str, Edit]]:
        """There is nothing to choose from."""
        return []


class ReadyAmplifier(Ready, frozen=True):
    """One more amplifier, by its power."""

    def described(self, build: Build) -> str:
        """What to type."""
        more = "; enter: to the lengths" if build.amplifiers else ""
        return f"Next amplifier: its power, as 500, 4x75, 4x75+1x300{more}"

    def typed(self, build: Build, record: Any, text: str) -> Edit:
        """The amplifier, with its branch, fuse and ground."""
        from domain.build.amplifier_power import parse_power

        return actions.add_amplifier(build, **parse_power(text))


class ReadyBattery(Ready, frozen=True):
    """The first battery, by its capacity."""

    def described(self, build: Build) -> str:
        """What to type."""
        return "The battery: type its capacity, as 70 Ah"

    def typed(self, build: Build, record: Any, text: str) -> Edit:
        """The battery, with its ground."""
        from domain.build.fields import parse_field

        capacity = parse_field(build, "batteries", "capacity_ah", text)
        return actions.add(build, "batteries", capacity_ah=capacity, name="Battery")


def wiring(build: Build, sheet: Sheet, look: Look = PLAIN) -> list[WiringRow]:
    """The rows of the drawing, and those that stand ready for what is not there yet."""
    if _last and _last[-1][0] is build and _last[-1][1] is sheet and _last[-1][2] == look:
        return _last[-1][3]
    subject = Subject(build, sheet)
    signs = _signs(sheet)
    found: list[WiringRow] = []
    taken: set[str] = set()
    for row in wiring_rows(build, look.folded):
        limb = row.limb
        id = limb.run or limb.device or NOWHERE
        while id in taken:
            id += "'"
        taken.add(id)
        run = find(build, limb.run) if limb.run else None
        hidden = [signs.get(each, "") for each in row.behind]
        sign = signs.get(limb.run, "") or ("" if limb.again else signs.get(limb.device, ""))
        sign = max((sign, *hidden), key=_ORDER.index)
        text = f"{sign or '  '}{_way(row)}{_wire(run, sheet)}{_end(subject, row)}"
        device = "" if limb.again else limb.device
        figure = BY_KEY[look.figure].of(subject, look, limb.run, device)
        folds = not limb.again and foldable(limb)
        found.append(WiringRow(id, limb.device, run, text, limb.again, figure, row.feeder, folds))
    found += _leads(subject, look, signs)
    found += _ready(build)
    _last[:] = [(build, sheet, look, found)]
    return found


_ORDER = ("", *(SIGNS[level] for level in (Level.NOTE, Level.FIX, Level.STOP)))

_last: list[tuple[Build, Sheet, Look, list[WiringRow]]] = []
"""Build, sheet, look and rows of the last answer: a table asks more than once for the same."""


def _leads(subject: Subject, look: Look, signs: dict[str, str]) -> Iterator[WiringRow]:
    """The rows of the leads that switch and carry the sound."""
    for row in lead_rows(subject.build, subject.sheet):
        sign = max(("", *(signs.get(id, "") for id in row.records)), key=_ORDER.index)
        given = row.amperes if look.figure == "current" else None
        figure = "" if given is None else subject.show("current", given)
        text = f"{sign or '  '}{row.text}"
        yield WiringRow(row.id, "", None, text, False, figure, leads=row.records)


def _ready(build: Build) -> list[WiringRow]:
    """The rows that stand ready: for the first battery, and for one more amplifier."""
    ready: list[tuple[str, str, Column]] = []
    if not build.batteries:
        battery = ReadyBattery("batteries", "capacity_ah", "Capacity", 10)
        ready.append((FIRST_BATTERY, "  + battery: type its capacity", battery))
    amplifier = ReadyAmplifier("amplifiers", "power", "Power W", 12)
    ready.append((NEXT_AMPLIFIER, "  + amplifier: type its power", amplifier))
    return [WiringRow(id, "", None, text, False, column=column) for id, text, column in ready]


def _signs(sheet: Sheet) -> dict[str, str]:
    """The sign of the worst finding of each record."""
    found: dict[str, str] = {}
    for level in (Level.FIX, Level.STOP):
        found |= {f.id: SIGNS[level] for f in sheet.findings if f.level is level}
    return found


def _way(row: Row) -> str:
    """What goes on down the page beside a row, and the corner from which its wire comes."""
    if not row.more:
        return ""
    parts = ["║ " if plus else "│ " if minus else "  " for plus, minus in row.more[:-1]]
    plus, minus = row.more[-1]
    if row.limb.ground:
        parts.append("╟─" if plus else "├─" if minus else "└─")
    else:
        parts.append("╠═" if plus or minus else "╚═")
    return "".join(parts)


def _wire(run: Run | None, sheet: Sheet) -> str:
    """A wire with its fuses at its ends; dotted where no fuse guards it."""
    if run is None:
        return ""
    line = "─" if run.polarity is Polarity.GROUND else "═"
    result = sheet.run(run.id)
    size = ""
    if result is None:  # nothing is worked out yet: what was typed, else no answer
        size = "…" if run.fuse_a is None else f"{run.fuse_a:g}"
    elif result.fuse_a is not None:
        size = f"{result.fuse_a:g}{AUTO if result.fuse_auto else ''}"
    near = far = ""
    if run.fused:
        ahead = "┄" if run.fuse_distance_m is None or run.fuse_distance_m > 0 else ""
        near = f"{ahead}[{size or AUTO}]"
    if run.far_fused:
        far = f"[{size or AUTO}]"
    many = f" {run.count} x {line}" if run.count > 1 else ""
    return f"{near}{line}{many}{far}{'' if far else line} "


def _end(subject: Subject, row: Row) -> str:
    """What the wire leads to."""
    id = row.limb.device
    if not id:
        return "not joined"
    device, name = find(subject.build, id), label(subject.build, id)
    if row.limb.again:
        return f"^ {name}"
    if row.behind:
        return f"{name} ▸ {_folded(subject, row)}"
    if isinstance(device, Appliance):
        about = size(subject, device)
    elif isinstance(device, Amplifier):
        about = subject.show("power", rated_w(device))
    elif isinstance(device, Alternator):
        about = subject.show("current", device.rated_a)
    elif isinstance(device, Battery):
        about = subject.show("capacity", device.capacity_ah)
    elif isinstance(device, Block):
        about = ""
    else:
        return f"┴ {name}"
    return f"{name}  {about}".rstrip()


def _folded(subject: Subject, row: Row) -> str:
    """The sum of what is behind a folded device."""
    loads = [load for id in row.behind if (load := subject.sheet.load(id)) is not None]
    if not loads:
        return "…"
    amplifiers = {amplifier.id for amplifier in subject.build.amplifiers}
    what = "amps" if all(load.id in amplifiers for load in loads) else "loads"
    return f"{subject.show('power', sum(load.rated_w for load in loads))} {len(loads)} {what}"


def _run_of(row: Any) -> Any:
    return getattr(row, "run", None)


def _on_wire(column: Column) -> Borrowed:
    return Borrowed(
        column.table,
        column.field,
        column.title,
        column.width,
        column.covers,
        inner=column,
        record_of=_run_of,
    )


DRAWING = "·wiring"
"""Id of the drawn column."""

FIGURE = "·figure"
"""Id of the column that shows one figure after the other."""


def wiring_spec(look: Callable[[], Look]) -> TableSpec:
    """The drawing, as it is looked at."""
    return TableSpec(
        "wiring",
        "wiring",
        "runs",
        "Wiring",
        (
            Drawn("runs", DRAWING, "·From the sources on", 30, figure=lambda b, s, row: row.text),
            *(
                _on_wire(column)
                for column in (
                    RunLength("runs", "length_m", "Length", 10),
                    Column("runs", "gauge", "Wire", 6),
                    Fuse("runs", "fuse_a", "Fuse", 6, ("fused",)),
                )
            ),
            Figure("runs", FIGURE, "·Figure", 10, figure=lambda b, s, row: row.figure),
        ),
        lambda build, sheet, narrowed: wiring(build, sheet, look()),
        first="length_m",
        stretches=DRAWING,
    )


def told(sheet: Sheet, look: Look) -> str:
    """What the last column shows, and in which state."""
    figure = BY_KEY[look.figure]
    state = f", {state_title(sheet, look.state)}" if figure.in_states else ""
    return f"{figure.title}{state}: {figure.says}"


class Whys(Figure, frozen=True):
    """Beside a value in the form: what is wrong, or why it is so."""

    def style(self, text: str) -> str:
        """What is wrong stands out."""
        if text.startswith(Level.STOP.name):
            return BAD
        return "bold" if text.startswith(Level.FIX.name) else "dim"


def _why(build: Build, sheet: Sheet, row: Any) -> str:
    from tui.tables.thing import why

    return why(build, sheet, row)


def _fields(build: Build, sheet: Sheet, narrowed: str) -> list[Any]:
    if not narrowed:
        return []  # a start shows no form, and waits for none of what a form knows
    from tui.tables.build_tables import SPECS
    from tui.tables.thing import fields_of

    columns = {spec.table: spec.columns for spec in reversed(SPECS) if spec.of_records}
    return [*fields_of(build, columns, narrowed)]


FORM = TableSpec(
    "thing",
    "wiring",
    "",
    "Its fields",
    (
        Figure("", "·group", "·", 8, figure=lambda b, s, row: row.group),
        Figure("", "·field", "·Field", 14, figure=lambda b, s, row: row.column.title),
        Column("", "value", "Value", 15),
        Whys("", "·why", "·Why", 15, figure=_why),
    ),
    _fields,
    empty="go to a thing in the drawing, and press enter",
    stretches="·why",
)
"""The form of what is gone to in the drawing."""
