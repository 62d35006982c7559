"""What is wrong with a part's strength: stress, heat, shaking, sag and resonance.

The limits are common practice. Each finding names the weakest place: a panel, or a bend.
"""

from collections.abc import Sequence
from functools import partial

from msgspec.structs import replace

from domain.build.choices import Seat
from domain.build.records import Build, Part
from domain.document.records import find
from domain.fabrication.strength.vibration import in_peak, profile, profile_test
from domain.findings import Finding, Level
from domain.sheet import StrengthResult
from domain.units.parse import format_quantity
from domain.units.show import figures

SAFE_MARGIN = 2.0
"""Strength over stress under the static load, at least. Common practice."""

SAFE_SHAKING_MARGIN = 1.5
"""Strength over 3 sigma stress of random vibration, at least. Common practice."""

SAG_FRACTION = 1 / 50
"""Deflection over overhang that is worth a note. Common practice."""

LOWEST_HZ = 50.0
"""A bracket on the body should not resonate below this: the body and the engine at idle do."""


def strength_findings(build: Build, part: Part, result: StrengthResult | None) -> list[Finding]:
    """What is wrong with a part's strength; nothing where there is no result."""
    if result is None:
        return []
    length = partial(format_quantity, "small_length", units=build.header.units)
    name = part.name or part.id
    at = ("parts", part.id, "thickness_m")
    found = [*_stress_findings(build, part, name, result, at)]
    sag = result.deflection_m / result.reach_m
    if sag > SAG_FRACTION:
        thicker = part.thickness_m * (sag / SAG_FRACTION) ** (1 / 3)
        found.append(
            Finding(
                Level.NOTE,
                "strip-sags",
                f"{name} bends away under its load",
                f"{length(result.deflection_m)} at {result.shock_ratio:g} g over a reach of "
                f"{length(result.reach_m)}, more than one fiftieth"
                if sag < 1
                else f"more than its whole reach of {length(result.reach_m)} at "
                f"{result.shock_ratio:g} g: it folds up",
                f"make it {length(thicker)} thick, shorter, or wider",
                "thin plates; one fiftieth is common practice",
                *at,
            )
        )
    found += _lasting_findings(part, name, result, length, at)
    if part.seat is Seat.UNKNOWN and found:
        first = found[0]
        found[0] = replace(first, do=f"{first.do}; or say that it lies flush, if it does")
    found += _frequency_findings(part, name, result, length(part.thickness_m), at)
    return found


def _lasting_findings(
    part: Part,
    name: str,
    result: StrengthResult,
    length: partial[str],
    at: tuple[str, str, str],
) -> list[Finding]:
    """What the mere weight does in time: plastics and wood creep, metals do not."""
    found = []
    if result.heat_fraction and (result.lasting_margin or 1.0) < 1.0:
        found.append(
            Finding(
                Level.FIX,
                "strip-creeps",
                f"{name} gives way in time under its mere load",
                f"{figures(result.stress_pa / max(result.shock_ratio, 1e-9) / 1e6)} MPa for good, "
                f"{figures(result.lasting_margin or 0.0, 2)} times of which {part.material} stands "
                "for years",
                "make it thicker, shorter, or of metal",
                "working stress under lasting load; common practice",
                *at,
            )
        )
    if (
        result.lasting_sag_m > SAG_FRACTION * result.reach_m
        and result.deflection_m <= SAG_FRACTION * result.reach_m
    ):
        found.append(
            Finding(
                Level.NOTE,
                "strip-sags-in-time",
                f"{name} sags with time",
                f"{length(result.lasting_sag_m)} after a thousand hours at {part.material}'s creep "
                f"modulus, more than one fiftieth of its reach of {length(result.reach_m)}",
                "make it thicker or shorter, or of a material that creeps less",
                "ISO 899 creep modulus, typical; one fiftieth is common practice",
                *at,
            )
        )
    return found


def _stress_findings(
    build: Build,
    part: Part,
    name: str,
    result: StrengthResult,
    at: tuple[str, str, str],
) -> list[Finding]:
    length = partial(format_quantity, "small_length", units=build.header.units)
    degrees = format_quantity("temperature", result.temperature_c, build.header.units)
    if result.heat_fraction == 0:
        return [
            Finding(
                Level.STOP,
                "strip-softens",
                f"{name} softens where it is and will not hold its load",
                f"{degrees} there is above the heat deflection temperature of {part.material}",
                "take a material that stands more heat, or mount it elsewhere",
                "heat deflection temperature at 1.82 MPa, typical",
                "parts",
                part.id,
                "material",
            )
        ]
    found = []
    units = build.header.units
    have, highest, shaken = (
        format_quantity("stress", stress, units)
        for stress in (result.strength_pa, result.stress_pa, result.shaking_pa)
    )
    margin, shaking = (
        format_quantity("margin", times, units) for times in (result.margin, result.shaking_margin)
    )
    where = weakest_place(build, result)
    if result.margin is not None and result.margin < SAFE_MARGIN:
        breaks = result.margin < 1
        thicker = length(part.thickness_m * (SAFE_MARGIN / result.margin) ** 0.5)
        found.append(
            Finding(
                Level.STOP if breaks else Level.FIX,
                "strip-breaks" if breaks else "strip-weak",
                f"{name} {'gives way' if breaks else 'has little to spare'} under "
                f"{format_quantity('mass', result.load_kg, units)} at {result.shock_ratio:g} g",
                f"{highest} {where}, {part.material} stands {have} at "
                f"{degrees}: {margin} times, {SAFE_MARGIN:g} wanted",
                f"make it {thicker} thick, shorter, or wider {where}",
                f"{'net section' if result.section else 'thin plates'}; linear loss to the heat "
                "deflection temperature is common practice",
                *at,
            )
        )
    if result.shaking_margin < SAFE_SHAKING_MARGIN:
        thicker = length(part.thickness_m * SAFE_SHAKING_MARGIN / result.shaking_margin)
        found.append(
            Finding(
                Level.NOTE,
                "strip-shakes-apart",
                f"{name} would not pass the vibration test of its place",
                f"{format_quantity('frequency', result.natural_hz, units)} answers with "
                f"{figures(result.response_ratio)} g r.m.s.; "
                f"3 sigma makes {shaken} {where}, {part.material} stands "
                f"{have}: {shaking} times, {SAFE_SHAKING_MARGIN:g} wanted; "
                "the test puts a vehicle's life into hours",
                f"make it about {thicker} thick, shorter, or support it at a second place",
                f"Miles' equation, ISO 16750-3 {profile_test(part.place)}",
                *at,
            )
        )
    return found


def _frequency_findings(
    part: Part,
    name: str,
    result: StrengthResult,
    thickness: str,
    at: tuple[str, str, str],
) -> Sequence[Finding]:
    slow = result.natural_hz < LOWEST_HZ
    if not slow and not in_peak(profile(part.place), result.natural_hz):
        return []
    why = (
        f"{figures(result.natural_hz)} Hz, at least {LOWEST_HZ:g} Hz wanted"
        if slow
        else f"{figures(result.natural_hz)} Hz, where {figures(result.psd_m2_s3)} (m/s2)2/Hz is "
        "within half of the profile's highest"
    )
    return [
        Finding(
            Level.NOTE,
            "strip-resonates-low" if slow else "strip-resonates-in-peak",
            f"{name} resonates {'low' if slow else 'where its place shakes most'}",
            why,
            f"stiffen it: thicker than {thickness}, shorter, or a second support",
            "common practice" if slow else f"ISO 16750-3 {profile_test(part.place)}",
            *at,
        )
    ]


def weakest_place(build: Build, result: StrengthResult) -> str:
    """Where the stress is highest, in words: "in Base" or "at the bend of Upright"."""
    panel = find(build, result.panel)
    name = getattr(panel, "name", "") or result.panel
    return f"at the bend of {name}" if result.bend else f"in {name}"
