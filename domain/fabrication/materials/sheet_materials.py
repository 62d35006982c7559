"""Sheet materials: density, how they bend, and how warm they may get."""

import re
from functools import cache

from msgspec import Struct

from domain.reference.csv_tables import load

HEAT_MARGIN_K = 15.0
"""A part stays this far [K] below its plastic's heat deflection temperature. Common practice."""

STOCK_TOLERANCE = 0.03
"""A thickness this close to a stock size, as a fraction, is that stock size."""

_TABLE_TOLERANCE = 1.03
"""Metric sheet slightly thicker than an inch row of a radius table still counts as that row."""


class Material(Struct, frozen=True):
    """One sheet material.

    ``kind`` is "plastic", "metal" or "wood"; ``bends`` "hot", "cold" or "no"; ``k_class`` the
    row of the bend allowance table; ``hdt_c`` the heat deflection temperature at 1.82 MPa [C].
    """

    name: str
    kind: str
    density_kg_m3: float
    k_class: str
    bends: str
    hdt_c: float | None
    stock: str

    @property
    def limit_c(self) -> float | None:
        """The warmest place [C] it may sit in; ``None`` where heat is no concern here."""
        return None if self.hdt_c is None else self.hdt_c - HEAT_MARGIN_K


def material(name: str) -> Material | None:
    """The material of this name, in any case and by its other names; ``None`` if unknown."""
    return _by_name().get(_key(name))


def material_names() -> tuple[str, ...]:
    """The names of all materials in the table, in its order."""
    return tuple(dict.fromkeys(material.name for material in _by_name().values()))


def materials_like(text: str) -> tuple[str, ...]:
    """The materials that a text may mean: by name, else by the start of a word of their names.

    Words of several are each the start of one, in any order: "ply", "birch", "poly c".
    """
    wanted = _key(text)
    exact = _by_name().get(wanted)
    if exact or not wanted:
        return (exact.name,) if exact else ()
    typed = _WORD.findall(wanted)
    found = [
        known.name
        for name, known in _by_name().items()
        if typed and all(any(w.startswith(t) for w in _WORD.findall(name)) for t in typed)
    ]
    return tuple(dict.fromkeys(found))


_WORD = re.compile(r"[^\W_]+")


def heat_growth_per_k(material: Material) -> float | None:
    """Growth of a material with temperature [1/K]; ``None`` where the table has none (wood)."""
    return _growths().get(material.name)


@cache
def _growths() -> dict[str, float]:
    return {
        row["material"]: float(row["per_k"]) for row in load("heat_growth", ("material", "per_k"))
    }


def min_bend_radius_m(material: Material, thickness_m: float) -> float | None:
    """Least inside radius [m] of a 90 degree bend; ``None`` where the table has no figure.

    Aluminium by thickness after Aluminum Association Table 3-1 (the next thicker row), others
    one ratio: typical shop figures, from memory.
    """
    rows = _radius_ratios().get(material.name)
    if not rows:
        return None
    for thickness_mm, ratio in rows:
        if thickness_m * 1000 <= thickness_mm * _TABLE_TOLERANCE:
            return ratio * thickness_m
    return rows[-1][1] * thickness_m


def stock_sheet(material: Material, thickness_m: float) -> str | None:
    """The name of the stock thickness this is, within 3 %; ``None`` if none is that close."""
    sizes = _stock().get(material.stock, ())
    if not sizes:
        return None
    off, name = min((abs(size_mm / (thickness_m * 1000) - 1), name) for name, size_mm in sizes)
    return name if off <= STOCK_TOLERANCE else None


def thicker_stock(
    material: Material, thickness_m: float, metric: bool
) -> tuple[tuple[float, str], ...]:
    """Stock thicknesses [m] above this one and their names, thinnest first, in one habit of units.

    Wood and foam have one kind of name for both.
    """
    sizes = sorted((mm / 1000, name) for name, mm in _stock().get(material.stock, ()))
    thicker = [size for size in sizes if size[0] > thickness_m * (1 + STOCK_TOLERANCE)]
    same = [size for size in thicker if size[1].endswith(" mm") == metric]
    return tuple(same or thicker)


def _key(name: str) -> str:
    return " ".join(name.casefold().split()).replace("aluminum", "aluminium")


@cache
def _by_name() -> dict[str, Material]:
    columns = (
        "material",
        "also",
        "kind",
        "density_kg_m3",
        "k_class",
        "bends",
        "hdt_1p82mpa_c",
        "stock",
    )
    found = {}
    for row in load("materials", columns):
        made = Material(
            name=row["material"],
            kind=row["kind"],
            density_kg_m3=float(row["density_kg_m3"]),
            k_class=row["k_class"],
            bends=row["bends"],
            hdt_c=float(row["hdt_1p82mpa_c"]) if row["hdt_1p82mpa_c"] else None,
            stock=row["stock"],
        )
        for name in (row["material"], *filter(None, row["also"].split(";"))):
            found[_key(name)] = made
    return found


@cache
def _radius_ratios() -> dict[str, list[tuple[float, float]]]:
    found: dict[str, list[tuple[float, float]]] = {}
    for row in load("bend_radii", ("material", "thickness_mm", "min_radius_over_thickness")):
        thickness_mm = float(row["thickness_mm"]) if row["thickness_mm"] else float("inf")
        ratio = float(row["min_radius_over_thickness"])
        found.setdefault(row["material"], []).append((thickness_mm, ratio))
    return {name: sorted(rows) for name, rows in found.items()}


@cache
def _stock() -> dict[str, list[tuple[str, float]]]:
    found: dict[str, list[tuple[str, float]]] = {}
    for row in load("sheet_stock", ("stock", "name", "thickness_mm")):
        found.setdefault(row["stock"], []).append((row["name"], float(row["thickness_mm"])))
    return found
