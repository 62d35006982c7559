"""Builds with one part, from short dictionaries in metres."""

from typing import Any

from domain.build.records import Build
from domain.fabrication.part_layout import PartLayout, part_layout
from domain.fabrication.parts import fabricate
from domain.fabrication.shape.panel_tree import NotDeveloped
from domain.findings import Finding

INCH_M = 0.0254

BRACKET: list[dict[str, Any]] = [
    {"id": "n1", "name": "Upright", "length_m": 4 * INCH_M, "width_m": 2 * INCH_M},
    {
        "id": "n2",
        "name": "Platform",
        "joins": "n1",
        "length_m": 4 * INCH_M,
        "width_m": 3 * INCH_M,
        "bend_radius_m": 0.25 * INCH_M,
        "score_m": INCH_M / 32,
    },
]
"""Common practice: 4 in up and 2 in wide, carrying a platform 4 in by 3 in."""


def build_of(panels: list[dict[str, Any]], **tables: Any) -> Build:
    """A build with part p1 of these panels; ``part`` holds fields of the part.

    It is in a room of 23 C, where strengths are stated (ISO 291), unless zones are given.
    """
    part = {"id": "p1", "name": "Bracket", **tables.pop("part", {})}
    if "zones" not in tables and "zone" not in part:
        tables["zones"] = [{"id": "z1", "name": "Room", "ambient_c": 23}]
        part["zone"] = "z1"
    made = [{"part": "p1", **panel} for panel in panels]
    return Build.of({"parts": [part], "panels": made, **tables})


def laid_of(build: Build) -> PartLayout:
    """Part p1 laid out; the test fails if it cannot be."""
    laid = part_layout(build, build.parts[0])
    assert not isinstance(laid, NotDeveloped), laid
    return laid


def findings_of(build: Build) -> tuple[Finding, ...]:
    return fabricate(build)[1]


def codes_of(build: Build) -> list[str]:
    return [finding.code for finding in findings_of(build)]
