"""The wiring drawn row by row, with the figures of each wire beside it."""

from dataclasses import dataclass
from typing import Any

from domain.build.choices import Polarity
from domain.build.records import Alternator, Amplifier, Appliance, Battery, Block, Build, Run
from domain.document.records import find, label
from domain.findings import Level
from domain.sheet import Sheet
from domain.topics.runs import SCHEDULE
from domain.topics.tables import Subject
from domain.topics.wiring import Row, wiring_rows
from tui.tables.cell_figures import shown_by
from tui.tables.columns import AUTO, Borrowed, Column, Figure, Fuse
from tui.tables.table_spec import TableSpec

SIGNS = {Level.STOP: "!!", Level.FIX: "! ", Level.NOTE: "  "}
"""What stands before a row where something is wrong."""

NOWHERE = "-"
"""Id of the row of runs that begin at no device."""


@dataclass(frozen=True, slots=True)
class WiringRow:
    """A device with the wire that leads to it, drawn; a source stands without a wire."""

    id: str
    device: str
    run: Run | None
    text: str
    again: bool


@dataclass(frozen=True, slots=True)
class Drawn(Figure):
    """The drawing: a row that fails stands out."""

    @property
    def why_fixed(self) -> str:
        """What to do instead of typing."""
        return "Enter opens all that there is to say of it; its figures stand beside it"

    def described(self, build: Build) -> str:
        """What the keys do here."""
        return (
            "Wire and device: enter opens its fields, ^N adds behind it, ^X takes it out, "
            "^R hangs the wire elsewhere"
        )

    def style(self, text: str) -> str:
        """By its sign."""
        if text.startswith(SIGNS[Level.STOP]):
            return "bold red"
        return "bold" if text.startswith(SIGNS[Level.FIX]) else ""


def wiring(build: Build, sheet: Sheet, narrowed: str = "") -> list[WiringRow]:
    """The rows of the drawing."""
    if _last and _last[-1][0] is build and _last[-1][1] is sheet:
        return _last[-1][2]
    subject = Subject(build, sheet)
    signs = _signs(sheet)
    found: list[WiringRow] = []
    taken: set[str] = set()
    for row in wiring_rows(build):
        limb = row.limb
        id = limb.run or limb.device or NOWHERE
        while id in taken:
            id += "'"
        taken.add(id)
        run = find(build, limb.run) if limb.run else None
        sign = signs.get(limb.run, "") or ("" if limb.again else signs.get(limb.device, ""))
        text = f"{sign or '  '}{_way(row)}{_wire(run, sheet)}{_end(subject, row)}"
        found.append(WiringRow(id, limb.device, run, text, limb.again))
    _last[:] = [(build, sheet, found)]
    return found


_last: list[tuple[Build, Sheet, list[WiringRow]]] = []
"""Build, sheet and rows of the last answer: a table asks more than once for the same."""


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
    if result is not None and result.fuse_a is not None:
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
    if isinstance(device, Amplifier | Appliance):
        load = subject.sheet.amplifier(id)
        about = subject.show("power", load.rated_w if load else None)
    elif isinstance(device, Alternator):
        about = subject.show("current", device.rated_a)
    elif isinstance(device, Battery):
        about = subject.show("capacity", device.capacity_ah)
    elif isinstance(device, Block):
        about = ""
    else:
        return f"┴ {name}"
    return f"{name}  {about}".rstrip()


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

WIRING = TableSpec(
    "wiring",
    "wiring",
    "runs",
    "Wiring: ═ positive, ─ ground, [fuse], ┄ ahead of it, ┴ body, ^ drawn above; enter opens",
    (
        Drawn(
            "runs",
            DRAWING,
            "·From the sources on",
            38,
            figure=lambda build, sheet, row: row.text,
        ),
        *(
            _on_wire(column)
            for column in (
                Column("runs", "length_m", "Length", 10),
                Column("runs", "gauge", "Wire", 6),
                Fuse("runs", "fuse_a", "Fuse", 6, ("fused",)),
                Column("runs", "fuse_distance_m", "Fuse at", 8),
                Figure("runs", "·drop", "·Drop", 6, figure=shown_by(SCHEDULE, "drop")),
                Figure("runs", "·temp", "·Temp", 6, figure=shown_by(SCHEDULE, "warm")),
                Figure("runs", "·a", "·Full", 6, figure=shown_by(SCHEDULE, "full")),
                Figure("runs", "·ampacity", "·Carries", 8, figure=shown_by(SCHEDULE, "holds")),
                Column("runs", "zone", "Zone", 14),
            )
        ),
    ),
    wiring,
    first="length_m",
    empty="nothing is there yet: ctrl+n adds a battery, an amplifier, a wire",
)
