"""One part with everything that its checks, its steps and its drawings look at."""

from collections.abc import Callable
from functools import partial

from msgspec import Struct
from msgspec.structs import replace

from domain.build.choices import UnitHabit
from domain.build.records import Build, Part
from domain.fabrication.materials.sheet_materials import Material
from domain.fabrication.shape.flat_pattern import Flat, lay_out
from domain.fabrication.shape.folding import Folded, fold_tree
from domain.fabrication.shape.hole_placing import PlacedHole, placed_holes
from domain.fabrication.shape.panel_tree import (
    NotDeveloped,
    PartRecords,
    Tree,
    build_panel_tree,
    records_by_part,
)
from domain.findings import Finding, Level
from domain.units.parse import format_quantity

MOST_ALIKE = 20
"""Findings of one kind in one part beyond this many are told in one line."""


class PartLayout(Struct, frozen=True):
    """A part laid out flat and folded, with its holes on their panels."""

    build: Build
    records: PartRecords
    tree: Tree
    flat: Flat
    folded: Folded
    placed: list[PlacedHole]

    @property
    def part(self) -> Part:
        """The part."""
        return self.records.part

    @property
    def sheet(self) -> Material | None:
        """Its material, ``None`` if unknown."""
        return self.tree.sheet

    @property
    def units(self) -> UnitHabit:
        """The build's habit of units."""
        return self.build.header.units

    def show(self, length_m: float) -> str:
        """A length as the build's habit writes it on a drawing."""
        return format_quantity("small_length", length_m, self.units)

    def panel_name(self, id: str) -> str:
        """What to call a panel in a sentence."""
        return f"{self.tree.nodes[id].panel.name or id} of {self.part.name or self.part.id}"


def part_layout(build: Build, part: Part) -> PartLayout | NotDeveloped:
    """A part laid out, or why it cannot be."""
    return layout_of_records(
        build, records_by_part(build).get(part.id) or PartRecords(part, [], [], [])
    )


def layout_of_records(
    build: Build, records: PartRecords, holes: list[PlacedHole] | None = None
) -> PartLayout | NotDeveloped:
    """As ``part_layout``, from the part's own records and holes that are placed already."""
    tree = build_panel_tree(records.part, records.panels)
    if isinstance(tree, NotDeveloped):
        return tree
    placed = placed_holes(build, records) if holes is None else holes
    return PartLayout(build, records, tree, lay_out(tree, placed), fold_tree(tree), placed)


Told = tuple[str, str, str, str, tuple[str, str, str]]
"""What is wrong, why, what to do, on whose authority, and where: table, id, field."""

ONCE = frozenset({"hole-breaks-out", "holes-too-near", "fixing-weak"})
"""Kinds of findings of which a part has one, for the worst of its holes."""


class _Once(Struct):
    """Where the one finding of a kind stands, of how many it is the worst, and how bad that is."""

    place: int
    count: int
    bad: tuple[int, float]


class Report:
    """Collects the findings of one part and tells many of one kind in one line."""

    def __init__(self, part: Part, units: UnitHabit) -> None:
        self.show = partial(format_quantity, "small_length", units=units)
        self._part = part
        self._found: list[Finding] = []
        self._counts: dict[str, int] = {}
        self._worst: dict[str, Level] = {}
        self._once: dict[str, _Once] = {}

    def full(self, code: str, level: Level) -> bool:
        """Count one more of a kind; true if it need not be worded, being one of many."""
        self._counts[code] = self._counts.get(code, 0) + 1
        worst = self._worst.get(code, level)
        self._worst[code] = level if level.rank < worst.rank else worst
        return self._counts[code] > MOST_ALIKE

    def add(
        self,
        level: Level,
        code: str,
        what: str,
        why: str,
        do: str,
        source: str,
        at: tuple[str, str, str],
    ) -> None:
        """A finding at (table, id, field)."""
        self._found.append(Finding(level, code, what, why, do, source, *at))

    def worst(self, level: Level, code: str, bad: float, told: Callable[[], Told]) -> None:
        """One finding of a kind for the part, of ``ONCE``: the worst is told, the others counted.

        ``bad``: how bad it is among those of its level, more is worse. What is told is only
        worded where it is the worst so far.
        """
        known = self._once.get(code)
        if known is None:
            what, why, do, source, at = told()
            self._once[code] = _Once(len(self._found), 1, (-level.rank, bad))
            self.add(level, code, what, why, do, source, at)
            return
        known.count += 1
        if (-level.rank, bad) > known.bad:
            what, why, do, source, at = told()
            known.bad = (-level.rank, bad)
            self._found[known.place] = Finding(level, code, what, why, do, source, *at)

    def findings(self) -> list[Finding]:
        """All of them, with a line for each kind of which there were too many to list."""
        found = list(self._found)
        for once in self._once.values():
            if once.count > 1:
                one = found[once.place]
                found[once.place] = replace(one, what=f"{one.what}, the worst of {once.count}")
        for code, count in self._counts.items():
            if count > MOST_ALIKE:
                more = count - MOST_ALIKE
                name = self._part.name or self._part.id
                found.append(
                    Finding(
                        self._worst[code],
                        code,
                        f"{name}: {more} more like the {MOST_ALIKE} before ({code})",
                        f"{count} in all",
                        "fix the first ones and look again",
                        "count",
                        "parts",
                        self._part.id,
                        "name",
                    )
                )
        return found
