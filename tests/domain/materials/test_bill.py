"""The bill of materials, recomputed by other means and against its tables."""

from math import ceil
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from domain.build import actions, kits
from domain.build.choices import Isolates, Termination, UnitHabit
from domain.build.records import Block, Build
from domain.cable.fittings import clamp_size, grommet, heat_shrink, loom, ring_fits
from domain.evaluate import evaluate
from domain.fabrication.parts import fabricate
from domain.materials.bill import materials_list
from domain.materials.takeoff import GROUPS
from domain.reference.csv_tables import load
from domain.sheet import MaterialLine, RunResult
from tests.domain.electrical.small import changed, small_build

AREA_MM2 = {"AWG 1/0": 53.48, "AWG 4": 21.15, "AWG 8": 8.366, "35 mm2": 35.0}


def result(id: str, gauge: str, wire_m: float, **values: Any) -> RunResult:
    """A run as the engine would give it, with figures that the list does not read left plain."""
    plain: dict[str, Any] = dict.fromkeys(RunResult.__struct_fields__, 0.0)
    plain |= {
        "id": id,
        "name": id,
        "polarity": "positive",
        "source": "",
        "target": "",
        "depth": 0,
        "feeds": (),
        "length_m": wire_m,
        "length_auto": False,
        "wire_m": wire_m,
        "gauge": gauge,
        "gauge_auto": True,
        "gauge_why": "",
        "area_mm2": AREA_MM2[gauge],
        "metal": "copper",
        "fuse_a": None,
        "fuse_auto": True,
        "fuse_family": "",
        "fuse_distance_m": None,
        "protected_a": None,
        "unprotected_m": None,
        "existing": False,
        "count": 1,
    }
    return RunResult(**{**plain, **values})


def plan(units: str = "inch") -> Build:
    """A battery in the engine bay feeding a fused block and two amplifiers in the boot."""
    ground = {"polarity": "ground", "zone": "z2"}
    return Build.of(
        {
            "header": {"units": units},
            "zones": [
                {"id": "z1", "name": "Engine bay", "ambient_c": 60},
                {"id": "z2", "name": "Boot", "ambient_c": 50},
            ],
            "batteries": [{"id": "b1", "zone": "z1", "stud": "5/16"}],
            "alternators": [{"id": "g1"}],
            "amplifiers": [{"id": "a1", "zone": "z2"}, {"id": "a2", "zone": "z2"}],
            "blocks": [{"id": "d1", "zone": "z2"}, {"id": "d2", "kind": "isolator"}],
            "grounds": [
                {"id": "e1", "zone": "z2"},
                {"id": "e2", "zone": "z1", "surface": "plated stud"},
            ],
            "runs": [
                {
                    "id": "r1",
                    "source": "b1",
                    "target": "d1",
                    "zone": "z1",
                    "fused": True,
                    "fuse_distance_m": 0.3,
                },
                {"id": "r2", "source": "d1", "target": "a1", "zone": "z2", "fused": True},
                {"id": "r3", "source": "d1", "target": "a2", "zone": "z2", "fused": True},
                {"id": "r4", "source": "a1", "target": "e1", **ground},
                {"id": "r5", "source": "a2", "target": "e1", **ground, "colour": "brown"},
                {"id": "r6", "source": "g1", "target": "b1", "existing": True, "zone": "z1"},
            ],
        }
    )


def results() -> tuple[RunResult, ...]:
    fused = {"fuse_a": 60.0, "fuse_family": "blade E (large)"}
    return (
        result(
            "r1",
            "AWG 1/0",
            5.2,
            source="b1",
            target="d1",
            fuse_a=200.0,
            fuse_family="strip SF 51",
            fuse_distance_m=0.3,
        ),
        result("r2", "AWG 4", 1.1, source="d1", target="a1", fuse_distance_m=0.0, **fused),
        result("r3", "AWG 4", 1.3, source="d1", target="a2", fuse_distance_m=0.0, **fused),
        result("r4", "AWG 4", 0.5, source="a1", target="e1"),
        result("r5", "AWG 4", 0.6, source="a2", target="e1"),
        result("r6", "AWG 4", 1.5, source="g1", target="b1", existing=True),
    )


def listed(units: str = "inch") -> dict[tuple[str, str, str], MaterialLine]:
    lines = materials_list(plan(units), results(), ())
    found = {(line.group, line.item, line.size): line for line in lines}
    assert len(found) == len(lines)
    return found


@pytest.mark.parametrize(("units", "step"), [("inch", 0.3048), ("metric", 0.5)])
def test_wire_by_gauge_and_colour(units: str, step: float) -> None:
    # second method: sums by hand, 0.1 m for the ends of each piece, whole feet or half metres;
    # the holder in r1 parts it into two pieces; each up to the next quarter inch or 5 mm
    wire = {key[1:]: line for key, line in listed(units).items() if key[0] == "Wire"}
    expected = {
        ("Copper wire 105 C, red", "1/0 AWG"): (5.4, ("r1",)),
        ("Copper wire 105 C, red", "4 AWG"): (2.6, ("r2", "r3")),
        ("Copper wire 105 C, black", "4 AWG"): (0.6, ("r4",)),
        ("Copper wire 105 C, brown", "4 AWG"): (0.7, ("r5",)),
    }
    assert set(wire) == set(expected)
    for key, (needed, asked_by) in expected.items():
        tape = 0.0254 / 4 if units == "inch" else 0.005
        assert needed - 1e-9 <= wire[key].needed < needed + 2 * tape
        assert wire[key].needed / tape == pytest.approx(round(wire[key].needed / tape))
        assert wire[key].quantity == pytest.approx(ceil(needed / step) * step)
        assert wire[key].asked_by == asked_by
        assert wire[key].unit == "m"


@pytest.mark.parametrize(
    ("units", "ends", "shrink"), [("inch", "4 in", "2 in"), ("metric", "10 cm", "5 cm")]
)
def test_notes_speak_the_units_of_the_build(units: str, ends: str, shrink: str) -> None:
    # exact conversions, to the nearest quarter inch: 0.1 m is 3.94 in, 50 mm is 1.97 in
    notes = {line.group: line.note for line in listed(units).values()}
    assert notes["Wire"] == f"with {ends} for the ends of each piece"
    assert notes["Heat-shrink"] == f"{shrink} over each end"


def test_both_ends_of_every_new_run() -> None:
    # common practice: rings on battery and ground, ferrules on amplifier, block and fuse holder
    lines = listed()
    assert lines["Terminals", "Ring terminal", "1/0 AWG, stud 5/16"].quantity == 1
    assert lines["Terminals", "Ring terminal", "4 AWG, stud M8"].quantity == 2
    assert lines["Terminals", "Ferrule", "1/0 AWG"].quantity == 3
    assert lines["Terminals", "Ferrule", "4 AWG"].quantity == 6
    # conservation: two ends a piece, and r1 is two pieces
    ends = sum(line.quantity for key, line in lines.items() if key[0] == "Terminals")
    assert ends == 2 * 6
    shrink = sum(line.needed for key, line in lines.items() if key[0] == "Heat-shrink")
    assert shrink == pytest.approx(ends * 0.05)


def test_a_fuse_holder_in_the_engine_bay_is_sealed() -> None:
    # by hand: r1 lies in the engine bay: ring at the battery and both ends at the holder 3:1;
    # the block's end is in the boot. In the boot the holder's ends are dry too.
    for zone, sealed in (("z1", 3), ("z2", 1)):
        build = plan()
        main = build.runs[0].but(zone=zone)
        lines = materials_list(build.but(runs=(main,)), results()[:1], ())
        tubes = {line.item: line.needed for line in lines if line.group == "Heat-shrink"}
        assert tubes == pytest.approx(
            {
                "Heat-shrink 3:1 with adhesive": sealed * 0.05,
                "Heat-shrink 2:1": (4 - sealed) * 0.05,
            }
        )


def test_pinned_ends_win() -> None:
    build = plan()
    runs = list(build.runs)
    runs[1] = runs[1].but(near_end=Termination.BARE, far_end=Termination.RING)
    lines = materials_list(build.but(runs=tuple(runs)), results(), ())
    sizes = {(line.item, line.size): line for line in lines if line.group == "Terminals"}
    assert sizes["Ferrule", "4 AWG"].quantity == 4
    assert "measure" in sizes["Ring terminal", "4 AWG, stud to be measured"].note


def test_fuses_spares_and_holders() -> None:
    # common practice: a spare for every two; the branch fuses sit in the block
    lines = listed()
    assert lines["Fuses", "Fuse strip SF 51", "200 A"].quantity == 2
    branch = lines["Fuses", "Fuse blade E (large)", "60 A"]
    assert (branch.needed, branch.quantity) == (2, 3)
    assert branch.note == "2 in use, 1 spare; ask for: large blade fuse, 29 mm wide"
    holders = [key for key in lines if key[0] == "Holders"]
    assert holders == [("Holders", "Holder for strip SF 51", "1/0 AWG")]


def test_a_far_fuse_needs_its_own_holder() -> None:
    build = plan()
    far = build.runs[1].but(far_fused=True)
    build = build.but(runs=(build.runs[0], far, *build.runs[2:]))
    lines = {(x.item, x.size): x for x in materials_list(build, results(), ())}
    assert lines["Fuse blade E (large)", "60 A"].needed == 3
    assert lines["Holder for blade E (large)", "4 AWG"].quantity == 1


def test_hardware_at_the_ground_point_that_is_used() -> None:
    lines = {key: line for key, line in listed().items() if key[0] == "Ground hardware"}
    assert {key[1] for key in lines} == {"Bolt", "Star washer", "Nut", "Contact paste"}
    assert all(line.asked_by == ("e1",) and line.quantity == 1 for line in lines.values())


def test_loom_grommet_and_clamps() -> None:
    lines = listed()
    # positive runs only: the ground runs lie in the boot
    assert lines["Loom", "Split loom", "3/4 in"].needed == pytest.approx(5.2)
    assert lines["Loom", "Split loom", "1/2 in"].needed == pytest.approx(1.1 + 1.3)
    # source: grommet table, a 14 mm cable takes the 15.9 mm bore; one run changes zone
    (made,) = (line for key, line in lines.items() if key[0] == "Grommets")
    assert made.size == "0.63 in bore, 0.87 in hole"
    assert made.asked_by == ("r1",)
    # second method: 18 in spacing, every run by itself
    clamps = sum(line.quantity for key, line in lines.items() if key[0] == "Clamps")
    assert clamps == sum(ceil(length / 0.45) for length in (5.2, 1.1, 1.3, 0.5, 0.6))


def test_blocks_are_listed_with_what_they_take() -> None:
    blocks = {key[1:]: line for key, line in listed().items() if key[0] == "Blocks"}
    assert set(blocks) == {
        ("Fused distribution block", "4 places, 1/0 AWG in, 4 AWG out"),
        ("Isolator", "4 AWG"),  # nothing is joined to it: the smallest that is sold
    }


def test_existing_runs_ask_for_nothing() -> None:
    assert all("r6" not in line.asked_by for line in listed().values())
    assert materials_list(Build(), (), ()) == ()


def test_groups_in_order_and_the_same_every_time() -> None:
    lines = materials_list(plan(), results(), ())
    order = [GROUPS.index(line.group) for line in lines]
    assert order == sorted(order)
    assert lines == materials_list(plan(), results(), ())


def test_sheet_and_fasteners_of_custom_parts() -> None:
    at = {"panel": "n1", "x_m": 0.05, "y_m": 0.05}
    build = Build.of(
        {
            "parts": [
                {"id": "p1", "quantity": 2},
                {"id": "p2", "material": "MDF", "thickness_m": 0.0193},
                {"id": "p3", "material": "abs", "thickness_m": 0.0055},
            ],
            "panels": [
                {"id": "n1", "part": "p1", "length_m": 0.2, "width_m": 0.1},
                {"id": "n2", "part": "p2", "length_m": 0.3, "width_m": 0.305},
                {"id": "n3", "part": "p3"},
            ],
            "holes": [
                {"id": "h1", "kind": "clearance", "thread": "m5", **at},
                {"id": "h2", "kind": "tapped", "thread": "#10-24", **at},
                {"id": "h3", **at},
            ],
        }
    )
    parts, _ = fabricate(build)
    lines = {(x.group, x.item, x.size): x for x in materials_list(build, (), parts)}
    # by hand: two blanks of 100 x 200 mm, an eighth of an inch larger all round for the rough cut,
    # are 4.19 x 8.12 in; side by side with a kerf 8.5 x 8.12 in: 8 x 12 in is too narrow; 305 mm
    # are over 12 in
    abs_sheet = lines["Sheet", "ABS sheet", "1/4 in, 12 x 12 in"]
    assert (abs_sheet.needed, abs_sheet.quantity, abs_sheet.unit) == (1, 1, "each")
    assert abs_sheet.each_m2 == pytest.approx(0.3048**2)
    waste = 1 - 2 * 0.10635 * 0.20635 / 0.3048**2
    assert abs_sheet.note.startswith(f"{waste * 100:.0f} % waste")
    mdf = next(x for key, x in lines.items() if key[1] == "MDF sheet")
    assert (mdf.quantity, mdf.asked_by) == (1, ("p2",))
    # exact: 5.5 / 25.4 = 0.2165
    odd = next(x for key, x in lines.items() if key[2].startswith("0.217 in, "))
    assert "no stock thickness" in odd.note
    fasteners = {key[1:]: x.quantity for key, x in lines.items() if key[0] == "Fasteners"}
    assert fasteners == {
        ("Machine screw", "M5"): 2,
        ("Plain washer", "M5"): 4,
        ("Nylon ring nut", "M5"): 2,
        ("Machine screw", "10-24"): 2,
    }


@settings(max_examples=80, deadline=None)
@given(
    wires=st.lists(st.floats(0.01, 40), min_size=1, max_size=5),
    units=st.sampled_from(list(UnitHabit)),
    gauge=st.sampled_from(sorted(AREA_MM2)),
)
def test_bought_covers_needed_by_less_than_one_unit(
    wires: list[float], units: UnitHabit, gauge: str
) -> None:
    # conservation: enough, and not a sale unit too much
    build = Build.of(
        {
            "header": {"units": units},
            "runs": [{"id": f"r{i}", "gauge": gauge} for i in range(1, len(wires) + 1)],
        }
    )
    runs = tuple(result(f"r{i}", gauge, wire) for i, wire in enumerate(wires, 1))
    step = 0.3048 if units is UnitHabit.INCH else 0.5
    lines = materials_list(build, runs, ())
    bought = [line for line in lines if line.unit == "m"]
    assert {line.group for line in bought} == {"Wire", "Loom"}
    for line in bought:
        assert line.needed - 1e-6 <= line.quantity < line.needed + step + 1e-6
    wire = next(line for line in bought if line.group == "Wire")
    tape = 0.0254 / 4 if units is UnitHabit.INCH else 0.005
    least = sum(wires) + 0.1 * len(wires)
    assert least - 1e-6 <= wire.needed < least + tape * len(wires) + 1e-6


@given(od=st.floats(1.0, 30.0))
def test_what_fits_round_a_cable(od: float) -> None:
    # the tables, read row by row: recovered < OD < 0.8 expanded; fill at most 75 %; bore >= OD
    tubes = {
        row["size"]: row for row in load("heat_shrink", ("size", "expanded_mm", "recovered_mm"))
    }
    tube = heat_shrink(od)
    fitting = [
        size
        for size, row in tubes.items()
        if float(row["recovered_mm"]) < od < 0.8 * float(row["expanded_mm"])
    ]
    assert tube == (fitting[0] if fitting else None)
    looms = {row["size"]: row for row in load("loom", ("size", "bore_mm", "outside_mm"))}
    chosen = loom(od)
    assert chosen is not None
    bore = float(looms[chosen[0]]["bore_mm"])
    assert (od / bore) ** 2 <= 0.75
    assert all(
        (od / float(r["bore_mm"])) ** 2 > 0.75 for r in looms.values() if float(r["bore_mm"]) < bore
    )
    rubber = grommet(od, UnitHabit.METRIC)
    bores = [float(row["bore_mm"]) for row in load("grommets", ("bore_mm", "panel_hole_mm"))]
    least = min((bore for bore in bores if bore >= od), default=None)
    assert (rubber is None) == (least is None)
    assert rubber is None or rubber.startswith(f"{least:.1f} mm bore")


def test_sizes_as_a_shop_writes_them() -> None:
    # arithmetic: next sixteenth of an inch, or next millimetre
    assert clamp_size(24.0, UnitHabit.INCH) == "1 in"
    assert clamp_size(9.3, UnitHabit.INCH) == "3/8 in"
    assert clamp_size(31.0, UnitHabit.INCH) == "1-1/4 in"
    assert clamp_size(16.8, UnitHabit.METRIC) == "17 mm"
    assert ring_fits("M8")
    assert ring_fits("5/16 in")
    assert ring_fits('3/8"')
    assert not ring_fits("[/red]")


def test_user_text_stays_plain_text() -> None:
    build = plan()
    odd = build.runs[4].but(colour="[/red] =1+1")
    build = build.but(runs=(*build.runs[:4], odd, build.runs[5]))
    items = [line.item for line in materials_list(build, results(), ())]
    assert "Copper wire 105 C, [/red] =1+1" in items


def test_what_holds_things_to_the_vehicle() -> None:
    # common practice: four screws an amplifier, two a block or a holder, one a P-clamp
    lines = {line.item: line for line in listed().values()}
    assert lines["Screw for amplifier"].quantity == 4 * 2
    assert lines["Screw for block"].quantity == 2 * 2
    assert lines["Screw for fuse holder"].quantity == 2
    clamps = sum(x.quantity for key, x in listed().items() if key[1] == "P-clamp")
    assert lines["Screw for P-clamp"].quantity == clamps > 0
    assert "Battery hold-down" not in lines
    build = plan()
    more = build.batteries[0].but(id="b2")
    feet = {"id": "o1", "footprint": "f1", "panel": "n1"}
    build = Build.of(
        {
            **build.but(batteries=(*build.batteries, more)).plain(),
            "footprints": [{"id": "f1", "device": "a1"}],
            "parts": [{"id": "p1"}],
            "panels": [{"id": "n1", "part": "p1"}],
            "mounts": [feet],
        }
    )
    lines = {line.item: line for line in materials_list(build, results(), ())}
    assert lines["Screw for amplifier"].asked_by == ("a2",)
    assert lines["Battery hold-down"].asked_by == ("b2",)
    assert lines["Battery post cover"].quantity == 2


def test_an_isolator_is_bought_by_what_it_carries_for_good_and_for_seconds() -> None:
    build = small_build()
    build = actions.applied(build, kits.battery_behind(build, Isolates.RELAY))
    # entered 140 A; its peak, where no label says it, 150 % of that (common practice)
    (line,) = bought(build)
    assert line.size.endswith(" AWG, 140 A continuous, 210 A peak")
    # nothing entered: what flows, in whole amperes
    free = changed(build, ("blocks", "d2", "rated_a", None))
    (result,) = evaluate(free).isolators
    (line,) = bought(free)
    peak = max(result.lasting_a, result.full_a, result.joining_a, result.starting_a)
    lasting, peak = ceil(result.lasting_a), ceil(peak)
    assert line.size.endswith(f" AWG, {lasting} A continuous, {peak} A peak")
    assert peak > lasting > 0
    # two of unlike ratings are not one line
    two = actions.applied(build, kits.battery_behind(build, Isolates.RELAY))
    two = changed(two, ("blocks", "d3", "rated_a", 200.0), ("blocks", "d3", "peak_a", 500.0))
    assert [line.size.split(", ", 1)[1] for line in bought(two)] == [
        "140 A continuous, 210 A peak",
        "200 A continuous, 500 A peak",
    ]


def bought(build: Build) -> list[MaterialLine]:
    """The lines of isolators."""
    return [line for line in evaluate(build).materials if line.item == "Isolator"]


def test_a_block_is_bought_by_its_kind() -> None:
    build = plan()
    for kind, fused, item in (
        ("ground", False, "Ground block"),
        ("distribution", False, "Distribution block"),
        ("distribution", True, "Fused distribution block"),
        ("isolator", False, "Isolator"),
    ):
        block = Block.of({"id": "d1", "kind": kind, "fused": fused})
        made = build.but(blocks=(block,))
        lines = materials_list(made, results(), ())
        assert [line.item for line in lines if line.group == "Blocks"] == [item]
