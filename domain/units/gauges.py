"""Wire sizes as typed and as shown: AWG (ASTM B258) and metric cross-sections."""

import re

from domain.patterns import Pattern
from domain.units.unit_table import UnitError
from domain.visible_text import visible

AWG_SIZES = tuple(f"AWG {n}/0" for n in (4, 3, 2, 1)) + tuple(f"AWG {n}" for n in range(1, 25))
"""AWG sizes that are taken, largest first (ASTM B258 goes on to 56, too thin for power)."""

METRIC_SIZES = tuple(
    f"{area:g} mm2"
    for area in (120, 95, 70, 60, 50, 40, 35, 30, 25, 20, 16, 10, 6, 4, 2.5, 1.5, 1, 0.75, 0.5)
)
"""Metric sizes that are taken, largest first.

IEC 60228 class 5, and 20, 30, 40 and 60 mm2 of road vehicle cable (ISO 6722-1; from memory).
"""

_AWG = Pattern(
    r"(?:awg|gauge|ga|#)? ?(?:([1-4]) ?/ ?0|(0{1,4})|([0-9]{1,2})) ?(?:awg|gauge|ga?)?\.?", re.ASCII
)
_METRIC = Pattern(
    r"([0-9]{0,3}(?:[.,][0-9]+)?) ?(?:sq(?:uare)?\.? ?mm|mm ?(?:2|\^2|²|sq)?)", re.ASCII
)


def parse_gauge(text: str) -> str:
    """A wire size in its one spelling, "AWG 1/0" or "35 mm2".

    A bare number is AWG; a wire of "35 mm" is one of 35 mm2, as people say it.
    ``UnitError`` says what would do where there is no such size.
    """
    tidy = " ".join(text.lower().replace("⁄", "/").split())
    if not tidy or len(text) > 30:
        said = "that is too long" if tidy else "nothing was typed"
        raise UnitError(f"{said}; a wire size is wanted, such as 1/0, 4 or 35 mm2")
    quoted = f"'{visible(text.strip())}'"
    awg = _AWG.fullmatch(tidy)
    if awg:
        aught, zeros, number = awg.groups()
        size = f"AWG {aught or len(zeros or '')}/0" if aught or zeros else f"AWG {int(number)}"
        if size in AWG_SIZES:
            return size
        raise UnitError(
            f"{quoted} is no AWG size from 4/0 to 24; write mm2 behind it if that is meant, "
            "such as 35 mm2"
        )
    metric = _METRIC.fullmatch(tidy)
    if metric and metric[1]:
        size = f"{float(metric[1].replace(',', '.')):g} mm2"
        if size in METRIC_SIZES:
            return size
        raise UnitError(f"{quoted} is no metric size; near it there is {_near(size)}")
    if re.fullmatch(r"[0-9.,]+", tidy, re.ASCII):
        raise UnitError(f"{quoted} is no AWG size; write mm2 behind it if that is meant: 35 mm2")
    raise UnitError(f"{quoted} is no wire size; one is wanted such as 1/0, 4 or 35 mm2")


def _near(size: str) -> str:
    area = _area(size)
    above = [each for each in METRIC_SIZES if _area(each) > area][-1:]
    below = [each for each in METRIC_SIZES if _area(each) < area][:1]
    return " and ".join(below + above)


def _area(size: str) -> float:
    return float(size.removesuffix(" mm2"))


def format_gauge(gauge: str, count: int = 1) -> str:
    """A wire size for a table: "1/0" and "8" for AWG, "35 mm2" for metric; "2x1/0" for two."""
    return (f"{count}x" if count > 1 else "") + gauge.removeprefix("AWG ")


def gauge_text(gauge: str, count: int = 1) -> str:
    """A wire size in a sentence, as a shop writes it: "1/0 AWG", "35 mm2"; "2 x 1/0 AWG"."""
    if not gauge:
        return "not sized yet"
    several = f"{count} x " if count > 1 else ""
    return several + (f"{gauge[4:]} AWG" if gauge.startswith("AWG ") else gauge)
