"""Builds with parts whose sizes are plain to see."""

from domain.build.choices import HoleKind, HoleShape, PanelEdge, UnitHabit
from domain.build.records import Build, Footprint, Header, Hole, Mount, Panel, Part, Stud
from domain.visible_text import visible

ODD_NAMES = {
    "right to left": "כן רמקול \u0627\u0644\u062d\u0627\u0645\u0644 mount 12",
    "east": "支架 ブラケット 브래킷",
    "emoji": "bracket 🔊👍🏽 ✓",
    "long": "W" * 500,
    "control": "a\x1b[31mb\x00c\x7f\u202ed\ufffff",
    "markup": "[/x] <b>&amp; %%c \\P {\\fArial;x} (a) \\( ../..\\..",
    "indic": "ब्रैकेट ყუთი กล่อง",
    "empty": "",
}
"""Names that a person may type, by what is odd about them."""


def bracket(name: str = "Amplifier bracket", units: UnitHabit = UnitHabit.METRIC) -> Build:
    """An upright 50 x 100 with a wider platform 100 x 80, a lip and holes of every kind."""
    return Build(
        header=Header(title="Estate car", units=units),
        parts=(
            Part(id="p1", name=visible(name), material="ABS", thickness_m=0.006, corner_m=0.008),
        ),
        panels=(
            Panel(id="n1", part="p1", name="Upright", length_m=0.1, width_m=0.05),
            Panel(
                id="n2",
                part="p1",
                name="Platform",
                joins="n1",
                length_m=0.08,
                width_m=0.1,
                offset_m=0.01,
                score_m=0.0008,
            ),
            Panel(
                id="n3",
                part="p1",
                name="Lip",
                joins="n2",
                edge=PanelEdge.RIGHT,
                length_m=0.03,
                width_m=0.05,
                up=False,
            ),
        ),
        holes=(
            Hole(id="h1", panel="n1", x_m=0.012, y_m=0.015, kind=HoleKind.TAPPED, thread="10-24"),
            Hole(id="h2", panel="n1", x_m=0.038, y_m=0.015, kind=HoleKind.CLEARANCE, thread="M5"),
            Hole(id="h3", panel="n1", x_m=0.025, y_m=0.045, diameter_m=0.02),
            Hole(
                id="h4",
                panel="n2",
                x_m=0.05,
                y_m=0.045,
                shape=HoleShape.SLOT,
                diameter_m=0.006,
                across_m=0.03,
                turn_deg=30,
            ),
            Hole(
                id="h5",
                panel="n2",
                x_m=0.05,
                y_m=0.065,
                shape=HoleShape.RECTANGLE,
                diameter_m=0.008,
                across_m=0.024,
            ),
        ),
        footprints=(Footprint(id="f1", name="Amplifier", length_m=0.06, width_m=0.04),),
        studs=(
            Stud(id="u1", footprint="f1", x_m=0.005, y_m=0.005, thread="M4"),
            Stud(id="u2", footprint="f1", x_m=0.055, y_m=0.035, thread="M4"),
        ),
        mounts=(Mount(id="o1", footprint="f1", panel="n2", x_m=0.04, y_m=0.045),),
    )


def plate(
    width_m: float,
    length_m: float,
    holes: tuple[Hole, ...] = (),
    units: UnitHabit = UnitHabit.METRIC,
) -> Build:
    """A flat plate with the holes given, which are in panel n1."""
    return Build(
        header=Header(title="Van", units=units),
        parts=(Part(id="p1", name="Plate", material="birch plywood", thickness_m=0.012),),
        panels=(Panel(id="n1", part="p1", name="Plate", length_m=length_m, width_m=width_m),),
        holes=holes,
    )


def many_holes(count: int) -> Build:
    """A plate with a square grid of 3 mm holes, 10 mm apart."""
    side = 75
    holes = tuple(
        Hole(
            id=f"h{i + 1}",
            panel="n1",
            x_m=0.01 * (1 + i % side),
            y_m=0.01 * (1 + i // side),
            diameter_m=0.003,
        )
        for i in range(count)
    )
    return plate(0.01 * (side + 1), 0.01 * (count // side + 2), holes)
