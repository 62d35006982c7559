"""Whatever is typed into panels, holes and mounts: results or findings, never an exception."""

from typing import Any

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from domain.build.choices import HoleKind, HoleShape, PanelEdge
from domain.build.edits import apply
from domain.build.records import Build
from domain.fabrication.mending import mend
from domain.fabrication.parts import fabricate
from domain.fabrication.shape.flat_pattern import develop, fold, hole_path
from domain.fabrication.steps import steps
from domain.findings import Level

sizes = st.one_of(st.floats(1e-4, 5), st.floats(0.02, 0.3), st.just(0.1))
small = st.one_of(st.floats(1e-4, 1), st.floats(0.001, 0.02))
places = st.one_of(st.floats(-5, 5), st.floats(0, 0.2))
threads = st.sampled_from(["", "M5", "#10-24", "1/4-20", "M99", "=1+1", "[/x]"])


@st.composite
def builds(draw: st.DrawFn) -> Build:
    panels = [f"n{i}" for i in range(1, draw(st.integers(0, 6)) + 1)]
    part = {
        "id": "p1",
        "zone": "z1",
        "material": draw(st.sampled_from(["ABS", "acrylic", "MDF", "mild steel", "?", "5052"])),
        "thickness_m": draw(st.floats(1e-4, 0.1)),
        "corner_m": draw(st.floats(0, 0.5)),
        "cutter_m": draw(st.none() | st.floats(0.0005, 0.1)),
        "edge_m": draw(st.floats(0, 0.05)),
        "box_height_m": draw(st.none() | st.floats(0.001, 5)),
    }
    made: list[dict[str, Any]] = [
        {
            "id": id,
            "part": "p1" if draw(st.integers(0, 9)) else "",
            "joins": draw(st.sampled_from(["", *panels])) if i else "",
            "edge": draw(st.sampled_from(list(PanelEdge))),
            "up": draw(st.booleans()),
            "offset_m": draw(st.one_of(st.just(0.0), places)),
            "length_m": draw(sizes),
            "width_m": draw(sizes),
            "bend_deg": draw(st.one_of(st.just(90.0), st.floats(0, 179.99))),
            "bend_radius_m": draw(st.floats(0, 0.02)),
            "score_m": draw(st.none() | st.floats(1e-5, 0.05)),
        }
        for i, id in enumerate(panels)
    ]
    holes = [
        {
            "id": f"h{i}",
            "panel": draw(st.sampled_from(["", *panels])),
            "x_m": draw(places),
            "y_m": draw(places),
            "shape": draw(st.sampled_from(list(HoleShape))),
            "diameter_m": draw(small),
            "across_m": draw(st.none() | small),
            "turn_deg": draw(st.floats(-180, 180)),
            "kind": draw(st.sampled_from(list(HoleKind))),
            "thread": draw(threads),
        }
        for i in range(1, draw(st.integers(0, 5)) + 1)
    ]
    studs = [
        {
            "id": f"u{i}",
            "footprint": "f1",
            "x_m": draw(places),
            "y_m": draw(places),
            "kind": draw(st.sampled_from(list(HoleKind))),
            "thread": draw(threads),
            "screw_m": draw(st.none() | st.floats(0.001, 0.5)),
        }
        for i in range(1, 3)
    ]
    mounts = [
        {
            "id": f"o{i}",
            "footprint": draw(st.sampled_from(["", "f1"])),
            "panel": draw(st.sampled_from(["", *panels])),
            "x_m": draw(places),
            "y_m": draw(places),
            "turn_deg": draw(st.floats(-180, 180)),
            "mirrored": draw(st.booleans()),
        }
        for i in range(1, draw(st.integers(0, 2)) + 1)
    ]
    return Build.of(
        {
            "header": {"units": draw(st.sampled_from(["inch", "metric"]))},
            "zones": [{"id": "z1", "ambient_c": draw(st.floats(-40, 200))}],
            "parts": [part],
            "panels": made,
            "holes": holes,
            "footprints": [{"id": "f1"}],
            "studs": studs,
            "mounts": mounts,
        }
    )


@settings(max_examples=150, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(build=builds())
def test_nothing_raises_and_nothing_is_lost(build: Build) -> None:
    (part,), findings = fabricate(build)
    assert all((f.what, f.why, f.do, f.source, f.table, f.id, f.field) for f in findings)
    assert part.area_m2 >= 0
    own = {panel.id for panel in build.panels if panel.part}
    asked = [hole.id for hole in build.holes if hole.panel in own]
    asked += [
        f"{mount.id}.{stud.id}"
        for mount in build.mounts
        for stud in build.studs
        if mount.panel in own and mount.footprint
    ]
    if part.shape in ("no panels", "not developed"):
        assert any(finding.level is Level.STOP for finding in findings)
    else:
        # conservation: every hole that a panel of the part asks for is in its flat pattern
        assert sorted(hole.id for hole in part.holes) == sorted(asked)
    steps(build, build.parts[0])
    fold(build, build.parts[0])
    for hole in getattr(develop(build, build.parts[0]), "holes", ()):
        assert hole_path(hole)
    for finding in findings[:6]:
        edit = mend(build, finding)
        if edit is not None:
            after, inverse = apply(build, edit)
            assert apply(after, inverse)[0] == build
