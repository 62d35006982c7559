"""Parts at the ends of what can be typed: refused or told, quickly, and nothing lost."""

from typing import Any

import pytest

from domain.build.edits import SetField, apply
from domain.build.records import Build
from domain.document.declared import BadEntry
from domain.evaluate import evaluate
from domain.fabrication.mending import mend
from domain.fabrication.parts import fabricate
from domain.fabrication.steps import steps
from domain.findings import Level
from tests.domain.fabrication.making import build_of, codes_of, findings_of

PLATE = [
    {"id": "n1", "length_m": 1.0, "width_m": 1.5},
    {"id": "n2", "joins": "n1", "width_m": 1.5},
    {"id": "n3", "joins": "n1", "edge": "left", "width_m": 0.5},
]


def holes(**values: Any) -> list[dict[str, Any]]:
    """5,000 holes in rows of a hundred, all alike in what is given."""
    return [
        {
            "id": f"h{i}",
            "panel": "n1",
            "x_m": 0.05 + 0.012 * (i % 100),
            "y_m": 0.05 + 0.012 * (i // 100),
            "diameter_m": 0.004,
            **values,
        }
        for i in range(1, 5001)
    ]


@pytest.mark.parametrize(
    "values",
    [
        {},
        {"kind": "tapped", "thread": "#10-24"},
        {"kind": "tapped", "thread": "W7"},
        {"shape": "slot", "across_m": 0.009, "turn_deg": 33},
        {"shape": "rectangle", "across_m": 0.009, "turn_deg": 33},
        {"x_m": 0.0005},
        {"x_m": -0.01},
        {"x_m": 0.3, "y_m": 0.3},
    ],
    ids=["plain", "tapped", "no table", "slots", "openings", "at the edge", "off", "one place"],
)
def test_an_edit_among_5000_holes(values: dict[str, Any]) -> None:
    build = build_of(PLATE, holes=holes(**values), part={"load_kg": 1, "corner_m": 0.01})
    evaluate(build)
    build, _ = apply(build, SetField(table="holes", id="h7", field="x_m", value=0.0521))
    sheet = evaluate(build)
    (part,) = sheet.parts
    # conservation: every hole is in the result, and every fault in the count of its kind
    assert {hole.id for hole in part.holes} == {f"h{i}" for i in range(1, 5001)}
    # slots and openings hold nothing, screws through round holes do
    held = "shape" not in values
    assert (part.strength is not None) == held
    codes = codes_of(build)
    assert ("part-held-by-nothing" in codes) != held
    assert all(len([f for f in sheet.findings if f.code == c]) <= 21 for c in codes)


def test_mending_among_5000_holes_ends() -> None:
    # all in one place: each runs into all others, and no small step parts them
    build = build_of(PLATE, holes=holes(x_m=0.3, y_m=0.3))
    finding = next(f for f in findings_of(build) if f.code == "holes-run-together")
    assert mend(build, finding) is None


def ribbon(count: int, shape: str) -> Build:
    panels: list[dict[str, Any]] = [{"id": "n1", "length_m": 0.5, "width_m": 4.5}]
    for i in range(2, count + 1):
        panel: dict[str, Any] = {"id": f"n{i}", "length_m": 0.05, "width_m": 0.02, "up": i % 2 == 0}
        if shape == "star":
            panel |= {"joins": "n1", "offset_m": (i - 100) * 0.0222}
        else:
            edge = "left" if shape == "comb" and i % 2 else "far"
            panel |= {"joins": f"n{i - 1}", "edge": edge, "bend_deg": 10}
        panels.append(panel)
    screws = [
        {"id": f"h{k}", "panel": "n1", "x_m": x, "y_m": y, "kind": "clearance", "thread": "M6"}
        for k, (x, y) in enumerate([(0.2, 0.1), (4.3, 0.1), (0.2, 0.4), (4.3, 0.4)], 1)
    ]
    part = {"load_kg": 1, "material": "mild steel", "thickness_m": 0.001}
    return build_of(panels, holes=screws, part=part)


@pytest.mark.parametrize("shape", ["chain", "comb", "star"])
def test_two_hundred_panels(shape: str) -> None:
    build = ribbon(200, shape)
    (part,), findings = fabricate(build)
    assert part.bends == 199
    assert steps(build, build.parts[0])
    # more than is worked out: said, not guessed
    assert part.strength is None
    assert "strength-not-worked-out" in [finding.code for finding in findings]


def test_three_metres_of_ribbon() -> None:
    # it does not hold, and no figure of small deflections is believed
    (part,), findings = fabricate(ribbon(60, "chain"))
    assert part.strength is not None
    assert "strip-breaks" in [finding.code for finding in findings]
    (sags,) = [finding for finding in findings if finding.code == "strip-sags"]
    assert "more than its whole reach" in sags.why


def test_201_panels_are_refused_and_kept() -> None:
    panels: list[dict[str, Any]] = [{"id": "n1"}]
    panels += [{"id": f"n{i}", "joins": f"n{i - 1}"} for i in range(2, 202)]
    build = build_of(panels)
    (finding,) = findings_of(build)
    assert (finding.code, finding.level) == ("part-not-developed", Level.STOP)
    assert "201" in finding.why
    assert len(build.panels) == 201


@pytest.mark.parametrize("field", ["length_m", "width_m"])
def test_no_size_at_all_is_refused_at_the_door(field: str) -> None:
    with pytest.raises(BadEntry, match="greater than 0"):
        build_of([{"id": "n1", field: 0}])
    with pytest.raises(BadEntry, match="finite"):
        build_of([{"id": "n1", field: float("nan")}])
    # the least that is accepted has no room for a bend
    build = build_of([{"id": "n1"}, {"id": "n2", "joins": "n1", field: 1e-9}])
    (finding,) = findings_of(build)
    assert (finding.code, finding.level, finding.id) == ("part-not-developed", Level.STOP, "n2")


def test_panels_that_cross_flat_and_folded() -> None:
    both: list[dict[str, Any]] = [
        {"id": "n1", "length_m": 0.1, "width_m": 0.1},
        {"id": "n2", "joins": "n1", "edge": "far", "width_m": 0.1, "length_m": 0.1},
        {"id": "n3", "joins": "n2", "edge": "left", "width_m": 0.3, "length_m": 0.1,
         "offset_m": -0.1},
        {"id": "n4", "joins": "n1", "edge": "left", "width_m": 0.08, "length_m": 0.1},
    ]  # fmt: skip
    found = {finding.code: finding for finding in findings_of(build_of(both))}
    assert found["panels-overlap"].level is Level.STOP
    # an upright folded flat over the other, 0.1 high in a room of 0.05
    walls: list[dict[str, Any]] = [
        {"id": "n1", "length_m": 0.08, "width_m": 0.1},
        {"id": "n2", "joins": "n1", "edge": "far", "bend_deg": 150, "width_m": 0.1},
        {"id": "n3", "joins": "n1", "edge": "near", "bend_deg": 150, "width_m": 0.1},
    ]
    build = build_of(walls, part={"material": "mild steel", "thickness_m": 0.001})
    assert "panels-clash" in codes_of(build)


def test_a_sharp_bend_in_acrylic() -> None:
    # typical: acrylic is bent round at least its thickness; a knife edge cracks it
    panels: list[dict[str, Any]] = [
        {"id": "n1"},
        {"id": "n2", "joins": "n1", "bend_radius_m": 0.0},
    ]
    build = build_of(panels, part={"material": "acrylic", "thickness_m": 0.003})
    (finding,) = findings_of(build)
    assert (finding.code, finding.level, finding.id) == ("bend-too-tight", Level.FIX, "n2")
    edit = mend(build, finding)
    assert edit is not None
    assert findings_of(apply(build, edit)[0]) == ()


def test_a_thread_without_a_table() -> None:
    hole = {"id": "h1", "panel": "n1", "x_m": 0.025, "y_m": 0.05, "kind": "tapped",
            "thread": "W 3/16-24", "diameter_m": 0.0037}  # fmt: skip
    build: Build = build_of([{"id": "n1"}], holes=[hole])
    (part,), (finding,) = fabricate(build)
    assert finding.code == "thread-unknown"
    assert "#10-24" in finding.do or "10-24" in finding.do
    assert part.holes[0].thread == "W 3/16-24"
    assert part.holes[0].diameter_m == pytest.approx(0.0037, abs=1e-4)
