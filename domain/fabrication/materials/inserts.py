"""Inserts and flat heads: what is drilled for them, how deep, and in what sheet they sit.

Typical figures, from memory: inserts differ by maker, so that the packet goes before the table.
"""

from functools import cache

from msgspec import Struct

from domain.build.choices import HoleKind
from domain.fabrication.materials.drills import thread_key, thread_names, thread_size
from domain.reference.csv_tables import load

OVER_DEPTH_M = 0.001
"""A hole for a heat-set insert is this much deeper [m] than the insert. Common practice."""

KNIFE_EDGE = 2 / 3
"""A flat head's height over the sheet, at most: a deeper cone leaves a knife edge. Structures
practice, from memory."""


class Insert(Struct, frozen=True):
    """An insert that takes one thread [m].

    A rivet nut has a flange and a range of sheet that it grips; a heat-set insert a length, a
    wall of plastic that must stand round it, and a pull [N] that a soft plastic holds it against.
    ``torque_nm`` is what may be put on its screw [N m].
    """

    kind: str
    thread: str
    hole_m: float
    flange_m: float
    length_m: float
    wall_m: float
    grip_m: tuple[float, float]
    pull_n: float
    torque_nm: float

    @property
    def depth_m(self) -> float:
        """How deep its hole is drilled [m]; 0 where it goes through."""
        return self.length_m + OVER_DEPTH_M if self.length_m else 0.0


class FlatHead(Struct, frozen=True):
    """The head of a countersunk screw [m], and the angle of its cone [degrees]."""

    head_m: float
    height_m: float
    angle_deg: float


def insert_for(kind: HoleKind, thread: str) -> Insert | None:
    """The insert for a thread; ``None`` if the table has none, or the kind is no insert."""
    if kind not in (HoleKind.INSERT, HoleKind.RIVET_NUT):
        return None
    table = _inserts()
    found = table.get((kind.value, thread_key(thread)))
    if found is None and thread:
        size = thread_size(thread)
        names = (name for name in thread_names() if thread_size(name) == size)
        found = next(
            (table[kind.value, name] for name in names if (kind.value, name) in table), None
        )
    return found


def flat_head(thread: str) -> FlatHead | None:
    """The countersunk head of a screw; ``None`` where no table has it."""
    return _heads().get(thread_size(thread))


@cache
def _inserts() -> dict[tuple[str, str], Insert]:
    columns = (
        "kind",
        "thread",
        "hole_mm",
        "flange_mm",
        "length_mm",
        "wall_mm",
        "grip_least_mm",
        "grip_most_mm",
        "pull_n",
        "torque_nm",
    )

    def metres(text: str) -> float:
        return float(text or 0) / 1000

    return {
        (row["kind"], row["thread"]): Insert(
            kind=row["kind"],
            thread=row["thread"],
            hole_m=metres(row["hole_mm"]),
            flange_m=metres(row["flange_mm"]),
            length_m=metres(row["length_mm"]),
            wall_m=metres(row["wall_mm"]),
            grip_m=(metres(row["grip_least_mm"]), metres(row["grip_most_mm"])),
            pull_n=float(row["pull_n"] or 0),
            torque_nm=float(row["torque_nm"]),
        )
        for row in load("inserts", columns)
    }


@cache
def _heads() -> dict[str, FlatHead]:
    return {
        row["size"]: FlatHead(
            float(row["head_mm"]) / 1000, float(row["height_mm"]) / 1000, float(row["angle_deg"])
        )
        for row in load("flat_heads", ("size", "head_mm", "height_mm", "angle_deg"))
    }
