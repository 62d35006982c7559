"""Usual shapes as one edit each: plate, L, Z, U, hat and tray.

All lengths are to outside faces [m]: ``length_m`` and ``width_m`` of the base, ``height_m`` of
the walls, ``flange_m`` of the feet. The bends are 90 degrees at the least radius of the material.
"""

from collections.abc import Callable

from msgspec import Struct

from domain.build.actions import usual_part
from domain.build.choices import PanelEdge, UnitHabit
from domain.build.edits import AddRecord, Batch, Edit, EditRefused, Scalar
from domain.build.records import Build, Part
from domain.document.declared import BadEntry
from domain.document.records import next_id
from domain.fabrication.materials.sheet_materials import Material, material, min_bend_radius_m


class Sizes(Struct, frozen=True):
    """Outside sizes of a preset shape [m]."""

    length_m: float = 0.15
    width_m: float = 0.1
    height_m: float = 0.1
    flange_m: float = 0.04


class _Flap(Struct, frozen=True):
    """A panel of a preset: name, the panel it joins by its place in the list, edge, up, sizes."""

    name: str
    joins: int | None
    edge: PanelEdge
    up: bool
    length_m: float
    width_m: float


def usual_sizes(units: UnitHabit) -> Sizes:
    """Round sizes in the units of the shop: 6 by 4 in, or 150 by 100 mm."""
    if units is UnitHabit.METRIC:
        return Sizes()
    inch = 0.0254
    return Sizes(length_m=6 * inch, width_m=4 * inch, height_m=4 * inch, flange_m=1.5 * inch)


Shape = Callable[[Sizes, float], list[_Flap]]


def preset(
    build: Build,
    shape: str,
    sizes: Sizes | None = None,
    bend_radius_m: float | None = None,
    **part: Scalar,
) -> Batch:
    """Add a part of a usual shape with its panels.

    ``shape`` is a key of ``PRESETS``; ``part`` are fields of the part (material, thickness_m),
    else plain aluminium in the units of the build.
    ``EditRefused`` for an unknown shape, or one with bends in a material that is not bent.
    """
    wanted = next((name for name in PRESETS if name.casefold() == shape.casefold()), None)
    if wanted is None:
        raise EditRefused(f"there is no shape {shape!r}; the shapes are {', '.join(PRESETS)}")
    id = next_id(build, "parts")
    units = build.header.units
    part = {"name": f"{wanted[:1].upper()}{wanted[1:]} {id[1:]}", **usual_part(units), **part}
    try:
        record = Part.of({"id": id, **part})
    except BadEntry as error:
        raise EditRefused(str(error)) from None
    sheet = material(record.material)
    if sheet and sheet.bends == "no" and wanted != "plate":
        raise EditRefused(f"{sheet.name} is not bent: make it a plate, or take another material")
    radius = bend_radius_m
    if radius is None:
        radius = usual_radius_m(sheet, record.thickness_m)
    flaps = PRESETS[wanted](sizes or usual_sizes(units), radius + record.thickness_m)
    edits: list[Edit] = [AddRecord(table="parts", record={"id": id, **part})]
    taken: frozenset[str] = frozenset()
    ids: list[str] = []
    for flap in flaps:
        ids.append(next_id(build, "panels", taken))
        taken |= {ids[-1]}
        values: dict[str, Scalar] = {
            "id": ids[-1],
            "part": id,
            "name": flap.name,
            "length_m": flap.length_m,
            "width_m": flap.width_m,
        }
        if flap.joins is not None:
            values |= {
                "joins": ids[flap.joins],
                "edge": flap.edge,
                "up": flap.up,
                "bend_radius_m": radius,
            }
        edits.append(AddRecord(table="panels", record=values))
    return Batch(edits=tuple(edits), label=f"add {part['name']}")


def usual_radius_m(sheet: Material | None, thickness_m: float) -> float:
    """The inside radius a shop would take [m]: the least of the material, or one thickness."""
    least = min_bend_radius_m(sheet, thickness_m) if sheet else None
    return least if least else thickness_m


def _plate(s: Sizes, _: float) -> list[_Flap]:
    return [_Flap("Plate", None, PanelEdge.FAR, True, s.length_m, s.width_m)]


def _l(s: Sizes, _: float) -> list[_Flap]:
    return [
        _Flap("Base", None, PanelEdge.FAR, True, s.length_m, s.width_m),
        _Flap("Upright", 0, PanelEdge.FAR, True, s.height_m, s.width_m),
    ]


def _z(s: Sizes, _: float) -> list[_Flap]:
    return [
        _Flap("Foot", None, PanelEdge.FAR, True, s.flange_m, s.width_m),
        _Flap("Web", 0, PanelEdge.FAR, True, s.height_m, s.width_m),
        _Flap("Shelf", 1, PanelEdge.FAR, False, s.length_m, s.width_m),
    ]


def _u(s: Sizes, _: float) -> list[_Flap]:
    return [
        _Flap("Base", None, PanelEdge.FAR, True, s.length_m, s.width_m),
        _Flap("Far wall", 0, PanelEdge.FAR, True, s.height_m, s.width_m),
        _Flap("Near wall", 0, PanelEdge.NEAR, True, s.height_m, s.width_m),
    ]


def _hat(s: Sizes, _: float) -> list[_Flap]:
    return [
        _Flap("Top", None, PanelEdge.FAR, True, s.length_m, s.width_m),
        _Flap("Far leg", 0, PanelEdge.FAR, False, s.height_m, s.width_m),
        _Flap("Near leg", 0, PanelEdge.NEAR, False, s.height_m, s.width_m),
        _Flap("Far foot", 1, PanelEdge.FAR, True, s.flange_m, s.width_m),
        _Flap("Near foot", 2, PanelEdge.FAR, True, s.flange_m, s.width_m),
    ]


def _tray(s: Sizes, setback_m: float) -> list[_Flap]:
    """Far and near walls over the whole width; the side walls stop where those bends begin."""
    side = s.length_m - 2 * setback_m
    if side <= 0:
        raise EditRefused("the base of a tray must be longer than its two bends take")
    return [
        _Flap("Base", None, PanelEdge.FAR, True, s.length_m, s.width_m),
        _Flap("Far wall", 0, PanelEdge.FAR, True, s.height_m, s.width_m),
        _Flap("Near wall", 0, PanelEdge.NEAR, True, s.height_m, s.width_m),
        _Flap("Left wall", 0, PanelEdge.LEFT, True, s.height_m, side),
        _Flap("Right wall", 0, PanelEdge.RIGHT, True, s.height_m, side),
    ]


PRESETS: dict[str, Shape] = {
    "plate": _plate,
    "L": _l,
    "Z": _z,
    "U": _u,
    "hat": _hat,
    "tray": _tray,
}
"""The shapes by name."""
