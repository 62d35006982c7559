"""The custom parts in words: what each is, what it weighs, whether it holds."""

from collections.abc import Iterator

from domain.build.records import Part
from domain.fabrication.checks.strength import weakest_place
from domain.sheet import PartResult, StrengthResult
from domain.topics.tables import Column, Subject, Table
from domain.units.show import format_size


def made_of(subject: Subject, part: PartResult) -> str:
    """Shape, material, sizes and mass, in a sentence."""
    units = subject.build.header.units
    flat = format_size("small_length", (part.flat_length_m, part.flat_width_m), units)
    folded = format_size("small_length", part.envelope_m, units)
    thick = subject.show("small_length", part.thickness_m)
    sizes = f"flat {flat}, folded {folded}" if part.bends else f"{flat}, no bends"
    holes = _count(len(part.holes), "hole")
    bends = f"{_count(part.bends, 'bend')}, " if part.bends else ""
    return (
        f"{part.shape}, {part.material}, {thick} thick; {sizes}; "
        f"{subject.show('mass', part.mass_kg)} each; {bends}{holes}."
    )


def holds(subject: Subject, strong: StrengthResult) -> str:
    """What it carries, how far it gives and what is left of its strength, in a sentence."""
    times = ""
    if strong.margin is not None:
        times = f"{subject.show('margin', strong.margin)} times what that asks, "
    gives = subject.show("small_length", strong.deflection_m)
    if gives == subject.show("small_length", 0.0):
        gives = "next to nothing"
    return (
        f"Under {subject.show('mass', strong.load_kg)} at {strong.shock_ratio:g} g it "
        f"gives {gives}; its strength is "
        f"{times}{subject.show('margin', strong.shaking_margin)} times what the shaking asks, "
        f"weakest {weakest_place(subject.build, strong)}; its natural frequency is "
        f"{subject.show('frequency', strong.natural_hz)}."
    )


def drilled(subject: Subject, part: PartResult) -> Iterator[str]:
    """Its holes, where they are in the flat pattern, in phrases."""
    for hole in part.holes:
        place = ", ".join(subject.show("small_length", at) for at in (hole.x_m, hole.y_m))
        bore = subject.show("small_length", hole.diameter_m)
        drill = f", drill {hole.drill}" if hole.drill not in ("", bore) else ""
        yield f"hole {bore} at {place}{drill}"


def how_many(part: Part) -> str:
    """How many pieces of a part are made, in words; of each hand where there are two."""
    if not part.both_hands:
        return f"{part.quantity}"
    return f"{part.quantity} left and {part.quantity} right hand"


def _count(number: int, what: str) -> str:
    return f"{number} {what}{'' if number == 1 else 's'}"


def _flat(subject: Subject, part: PartResult) -> str:
    sides = part.flat_length_m, part.flat_width_m
    return format_size("small_length", sides, subject.build.header.units)


PARTS: Table[PartResult] = Table(
    rows=lambda s: s.sheet.parts,
    columns=(
        Column("flat", "Flat size", "small_length", _flat),
        Column("area", "Area", "area", lambda s, p: p.area_m2),
        Column("mass", "Mass", "mass", lambda s, p: p.mass_kg),
        Column(
            "margin",
            "Safety factor",
            "margin",
            lambda s, p: p.strength.least_margin if p.strength else None,
            says="how many times over it holds, where it is weakest: 2 and more is asked",
        ),
        Column(
            "sag",
            "Deflection",
            "small_length",
            lambda s, p: p.strength.deflection_m if p.strength else None,
            says="how far it gives under the shock load",
        ),
        Column(
            "mode",
            "Natural freq.",
            "frequency",
            lambda s, p: p.strength.natural_hz if p.strength else None,
            says="how it rings with what it carries: the higher the better",
        ),
    ),
    empty="This build has no custom parts.",
)
