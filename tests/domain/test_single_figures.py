"""One figure each, worked out by hand beside it: places where a small slip would not be seen."""

import dataclasses
from decimal import Decimal
from math import cos, inf, log, pi, radians, sin, tan

import pytest
from msgspec.structs import replace

from demo_db.load import demo_builds
from domain.build import actions
from domain.build.choices import HoleKind, HoleShape, Insulation, Metal, UnitHabit
from domain.electrical import fuses
from domain.electrical.drive import _until_full_or_empty
from domain.electrical.network.run_conductor import fuse_ambient_c
from domain.electrical.network.wiring import wiring
from domain.electrical.protection.any_short import Fuse, worst_short
from domain.electrical.protection.fuse_curves import _decade
from domain.electrical.protection.opening import Point, window
from domain.electrical.protection.shared_shorts import Stood
from domain.electrical.protection.withstand import Wire, limit_c
from domain.electrical.sizing.least_copper import STEP_V, steps_down, steps_up
from domain.electrical.sizing.sized import Sized, inside_limit
from domain.evaluate import evaluate
from domain.fabrication.checks.heat_growth import growth_m
from domain.fabrication.fixing_actions import _room_for
from domain.fabrication.materials.drills import Drill
from domain.fabrication.materials.inserts import OVER_DEPTH_M, insert_for
from domain.fabrication.materials.sheet_materials import material
from domain.fabrication.presets import usual_sizes
from domain.fabrication.shape.bend_allowance import k_factor
from domain.fabrication.shape.clearance import required
from domain.fabrication.shape.folding import fold
from domain.fabrication.shape.hole_placing import PlacedHole
from domain.fabrication.shape.panel_tree import NotDeveloped
from domain.fabrication.shape.path import path_area_m2, path_length_m, rounded
from domain.fabrication.strength.folded_plates import Device, Folded, Plate
from domain.fabrication.strength.plate_energy import Energy, device_rows
from domain.materials.loom_materials import SUPPORT_SPACING_M, clamps_between
from domain.materials.takeoff import ONE_FOR_ALL
from domain.money.matching import match
from domain.sheet import MaterialLine
from domain.shop.catalogue import CatalogueItem
from domain.shop.csv_files import counted
from domain.topics.fuses import _note
from domain.topics.job import main_figures
from domain.topics.materials import asked_by
from domain.topics.tables import Subject
from domain.topics.wiring import Limb, rows_of
from domain.units.show import _tape_mark
from domain.work_order import work_order
from domain.workings.cited import _rows, row_source
from tests.domain.electrical.small import changed, small_build
from tests.domain.fabrication.making import build_of, laid_of


@pytest.mark.parametrize(("count", "said"), [(0, "0 items"), (1, "1 item"), (2, "2 items")])
def test_one_is_not_a_plural(count: int, said: str) -> None:
    assert counted(count, "item") == said


@pytest.mark.parametrize(
    ("power", "said"), [(-3, "1 ms"), (-1, "100 ms"), (0, "1 s"), (2, "100 s")]
)
def test_decades_of_time_in_words(power: int, said: str) -> None:
    assert _decade(power) == said


def test_a_rivet_nut_goes_through_and_a_heat_set_insert_into_a_blind_hole() -> None:
    # common practice: the hole for a heat-set insert is deeper than it is long, for the plastic
    # that it pushes ahead; a rivet nut's goes through the sheet
    through, blind = insert_for(HoleKind.RIVET_NUT, "M5"), insert_for(HoleKind.INSERT, "M5")
    assert through is not None
    assert blind is not None
    assert through.depth_m == 0.0
    assert blind.depth_m == pytest.approx(blind.length_m + OVER_DEPTH_M)
    assert blind.depth_m > blind.length_m > 0.0


def test_above_the_last_point_the_heat_curve_goes_straight_on() -> None:
    points = fuses._heat_curve()
    (t0, f0), (t1, f1) = points[-2:]
    step = (t1 - t0) / 4
    # by hand: the same loss for the same degrees, until a tenth is left
    for times in (1, 2):
        straight = max(f1 - times * (f0 - f1) / 4, 0.1)
        assert fuses.heat_fraction(t1 + times * step) == pytest.approx(straight)
    assert fuses.heat_fraction(t1 + step) < f1 < f0


@pytest.mark.parametrize("corners", [3, 4, 6, 8])
def test_corners_of_any_angle_are_rounded(corners: int) -> None:
    """Euclid: a regular polygon round a circle, less the corners beyond small circles in it.

    With corners of radius r, its inradius shrunk by r and grown again: area
    A' + P' r + pi r^2, length P' + 2 pi r (Steiner, parallel bodies).
    """
    inradius, r = 0.05, 0.01
    out = inradius / cos(pi / corners)
    turns = [2 * pi * k / corners for k in range(corners)]
    path = rounded([(out * cos(a), out * sin(a)) for a in turns], r, 0.0)
    apothem = inradius - r
    side = 2 * apothem * tan(radians(180 / corners))
    around, inside = corners * side, corners * side * apothem / 2
    assert path_length_m(path) == pytest.approx(around + 2 * pi * r)
    assert path_area_m2(path) == pytest.approx(inside + around * r + pi * r * r)


def test_what_a_wire_stands_in_a_short() -> None:
    # IEC 60364-4-43, 434.5.2: k = 143 A s^0.5/mm2 for copper in 90 C thermosetting insulation
    # from 90 to 250 C, 115 for PVC from 70 to 160 C; here for what it starts from and ends at, by
    # the formula of its note: k = 226 sqrt(ln(1 + (Tf - Ti) / (234.5 + Ti)))
    wire = Wire(16.0, Metal.COPPER, Insulation.T105, 100.0, 40.0, 105.0)
    k = 226 * log(1 + (limit_c(wire.insulation) - 105.0) / (234.5 + 105.0)) ** 0.5
    stood = Stood.of(wire)
    assert stood.heat == pytest.approx((k * 16.0) ** 2, rel=0.02)
    # What it takes in at once, and how much more than its ampacity heats it up to the limit for
    # good: a body of one time constant, as IEC 60364-5-52 and handbooks take a wire
    above = stood.lasting_a**2 - stood.carries_a**2
    assert stood.tau_s * above == pytest.approx(stood.heat)
    rise = (limit_c(wire.insulation) - 40.0) / (105.0 - 40.0)
    assert 1.0 < (stood.lasting_a / stood.carries_a) ** 2 <= rise


def test_the_largest_fuse_is_named_wherever_it_stands() -> None:
    build = next(build for _, build in demo_builds() if len(build.amplifiers) > 1)
    sheet = evaluate(build)
    fused = [run for run in sheet.runs if run.fuse_a is not None]
    largest = max(run.fuse_a or 0.0 for run in fused)
    for order in (sheet.runs, sheet.runs[::-1]):
        subject = Subject(build, dataclasses.replace(sheet, runs=order))
        (said,) = (fact.value for fact in main_figures(subject) if fact.title == "Largest fuse")
        assert str(said).startswith(f"{largest:g} A")


@pytest.mark.parametrize(
    ("grounds", "first"),
    [
        ((False, False, True), (True, True)),
        ((False, True, True), (False, True)),
        ((True, False, False), (True, False)),
        ((False, True, False), (True, True)),
    ],
)
def test_lines_that_go_on_beside_a_limb(
    grounds: tuple[bool, ...], first: tuple[bool, bool]
) -> None:
    """Beside the first limb the lines of what comes later go on: positive, and ground."""
    below = [Limb(f"x{i}", f"r{i}", ground) for i, ground in enumerate(grounds)]
    rows = list(rows_of(Limb("b1", below=below)))
    assert rows[1].more == (first,)
    assert rows[-1].more == ((False, False),)


def test_a_new_hole_is_in_the_last_panel() -> None:
    build = next(build for _, build in demo_builds() if len(build.panels) > 2)
    edit = actions.add(build, "holes")
    after = actions.applied(build, edit)
    new = {hole.id for hole in after.holes} - {hole.id for hole in build.holes}
    (hole,) = (hole for hole in after.holes if hole.id in new)
    assert hole.panel == build.panels[-1].id
    assert len({panel.id for panel in build.panels}) > 2


def test_screws_keep_two_diameters_from_round_holes() -> None:
    # by hand: the centres of two holes of 5 mm are two diameters, 10 mm, apart
    hole = PlacedHole(
        "h1", "p1", 0.0, 0.0, HoleShape.ROUND, 0.005, None, 0.0, HoleKind.PLAIN, "",
        Drill("5 mm", 0.005),
        0.005, True,
    )  # fmt: skip
    assert _room_for([(0.0101, 0.0)], hole, [hole])
    assert not _room_for([(0.0099, 0.0)], hole, [hole])
    assert not _room_for([(0.0101, 0.0), (0.02, 0.0)], hole, [hole])


def test_wires_side_by_side_each_have_a_fuse() -> None:
    build = changed(small_build(), ("runs", "r4", "count", 2))
    subject = Subject(build, evaluate(build))
    main, branch = subject.sheet.run("r4"), subject.sheet.run("r5")
    assert main is not None
    assert branch is not None
    assert "One in each of its 2 wires." in _note(subject, main)
    assert "in each" not in _note(subject, branch)


def test_a_run_with_one_end_nowhere_is_not_laid() -> None:
    build = changed(small_build(), ("runs", "r5", "target", ""))
    assert "r5" in wiring(build).unlaid
    assert "r5" not in wiring(build).ends
    assert "r4" not in wiring(build).unlaid


@pytest.mark.parametrize(("lost_v", "inside"), [(0.49, True), (0.51, False)])
def test_an_amplifier_over_its_drop_is_not_inside_the_limit(lost_v: float, inside: bool) -> None:
    build = changed(small_build(), ("header", "header", "drop_limit_v", 0.5))
    posts, feet = {"b1_pos": 12.6, "b1_neg": 0.0}, {"a1_pos": 12.3, "a1_neg": lost_v - 0.3}
    assert inside_limit(build, wiring(build), Sized(volts=posts | feet)) is inside


@pytest.mark.parametrize(
    ("inch", "zone"),
    [(6.0, "the device's"), (40.0, "the run's")],
)
def test_a_fuse_at_its_device_is_as_warm_as_that(inch: float, zone: str) -> None:
    # common practice and 33 CFR 183.455: a fuse within 18 in of the battery sits with it
    build = small_build()
    battery = build.batteries[0]
    run = next(r for r in build.runs if r.fused and r.source == battery.id)
    run = run.but(zone="cool", fuse_distance_m=inch * 0.0254)
    zones = {"cool": 20.0, battery.zone: 71.0}
    expected = 71.0 if zone == "the device's" else 20.0
    assert fuse_ambient_c(build, run, zones) == expected


def test_a_run_without_fuses_has_the_air_that_fuses_are_rated_in() -> None:
    # ISO 8820-1: rated at 23 C and a little, memory; nothing to derate where nothing sits
    build = small_build()
    run = next(r for r in build.runs if r.fused).but(fused=False, far_fused=False)
    assert fuse_ambient_c(build, run, {}) == 25.0


def test_only_currents_that_must_open_a_fuse_are_looked_at_where_asked() -> None:
    # a fuse that must open at 1.35 times 30 A, and a wire that is too thin for it
    points = tuple(window([Point(6.0, 0.04, 0.5), Point(2.0, 0.25, 50.0), Point(1.35, 0.0, inf)]))
    fuse = Fuse("r1", points, 30.0)
    wire = Wire(2.0, Metal.COPPER, Insulation.T105, 20.0, 40.0, 105.0)
    every = worst_short((fuse,), wire)
    opened = worst_short((fuse,), wire, opening_only=True)
    assert opened.current_a >= fuse.must_open_a() > every.current_a


def test_the_most_lossy_amplifier_is_named_wherever_it_stands() -> None:
    build = next(build for _, build in demo_builds() if len(build.amplifiers) > 1)
    sheet = evaluate(build)
    worst = max(sheet.amplifiers, key=lambda a: a.drop_v or 0.0)
    for order in (sheet.amplifiers, sheet.amplifiers[::-1]):
        steps = work_order(build, dataclasses.replace(sheet, amplifiers=order))
        assert any(f"The most is lost to {worst.name}" in step.what for step in steps)


def test_a_row_is_known_by_all_its_cells() -> None:
    rows = _rows("drills")
    one, other = rows[0], rows[-1]
    assert row_source("drills", **one)
    keys = [key for key in one if one[key] != other[key]]
    mixed = {keys[0]: one[keys[0]], keys[-1]: other[keys[-1]]}
    with pytest.raises(KeyError):
        row_source("drills", **mixed)


@pytest.mark.parametrize(("thickness", "web"), [(0.003, 0.0016), (0.02, 0.010)])
def test_plastic_that_stays_round_an_insert(thickness: float, web: float) -> None:
    """The wall of its packet, or half the sheet where that is thicker (common practice)."""
    insert = insert_for(HoleKind.INSERT, "M3")
    assert insert is not None
    hole = PlacedHole(
        "h1", "p1", 0.0, 0.0, HoleShape.ROUND, 0.004, None, 0.0, HoleKind.INSERT, "M3",
        Drill("4 mm", 0.004), None, True,
    )  # fmt: skip
    wanted = required(material("Acrylic"), thickness, hole)
    assert wanted.web_m == pytest.approx(max(insert.wall_m, thickness / 2))
    assert (thickness / 2 > insert.wall_m) == (web == thickness / 2)


def test_a_part_grows_with_the_heat_of_its_own_zone() -> None:
    # by hand: acrylic grows some 70, steel 12 millionths a kelvin (handbooks, from memory); from
    # 23 C to 80 C over 0.3 m that is 1 mm more, in a room of 30 C only what the cold takes
    zones = [{"id": f"z{i}", "name": f"Shelf {i}", "ambient_c": c} for i, c in ((1, 30), (2, 80))]
    grown = []
    for zone in ("z1", "z2"):
        part = {"material": "acrylic", "thickness_m": 0.006, "zone": zone}
        build = build_of([{"id": "n1", "length_m": 0.4, "width_m": 0.1}], part=part, zones=zones)
        grown.append(growth_m(laid_of(build), 0.3))
    assert grown[1] == pytest.approx((70e-6 - 12e-6) * (80 - 23) * 0.3, rel=0.1)
    assert 0.0 < grown[0] < grown[1]


@pytest.mark.parametrize(("mark", "said"), [(0, "0"), (-8, "-1/4"), (40, "1 1/4"), (-64, "-2")])
def test_marks_of_a_tape(mark: int, said: str) -> None:
    assert _tape_mark(mark) == said


def test_the_cheapest_of_two_is_called_so() -> None:
    size = MaterialLine("Terminals", "Ferrule", "4 AWG", 3, "each", 3, ())
    dear, cheap = (
        CatalogueItem(name=name, group="Terminals", price=Decimal(price), item_rule="ferrule")
        for name, price in (("Dear", "2"), ("Cheap", "1"))
    )
    for items, said in (((dear, cheap), "cheapest of 2"), ((cheap,), "")):
        (line,) = match([size], list(items))
        assert line.item == cheap
        assert ("cheapest" in line.why) is bool(said)
        assert said in line.why


def test_wire_ahead_of_a_branch_fuse_is_what_its_distance_says() -> None:
    # by hand: 60 A of the fuse before it flow into 15 cm of AWG 8 that carry less; behind its own
    # fuse 40 A do
    build = changed(
        small_build(),
        ("runs", "r4", "fuse_a", 60.0),
        ("runs", "r5", "gauge", "AWG 8"),
        ("runs", "r5", "fuse_a", 40.0),
        ("runs", "r5", "fuse_distance_m", 0.15),
    )
    run = evaluate(build).run("r5")
    assert run is not None
    assert run.ampacity_a < 60.0
    assert run.unprotected_m == pytest.approx(0.15)
    assert run.protected_a == pytest.approx(40.0)


@pytest.mark.parametrize(
    ("volts", "up", "down"),
    [(3 * STEP_V, 3, 3), (3.05 * STEP_V, 4, 3), (2.95 * STEP_V, 3, 2), (0.0, 0, 0)],
)
def test_whole_steps_of_a_drop(volts: float, up: int, down: int) -> None:
    assert (steps_up([volts]), steps_down(volts)) == ([up], down)


@pytest.mark.parametrize(
    ("begin", "end", "count"),
    [(0.0, 1.0, 1), (0.0, 1.05, 2), (0.95, 1.05, 1), (0.2, 0.9, 0), (1.5, 3.0, 1)],
)
def test_a_clamp_for_every_spacing_begun(begin: float, end: float, count: int) -> None:
    assert clamps_between(begin * SUPPORT_SPACING_M, end * SUPPORT_SPACING_M) == count


def test_usual_sizes_are_round_in_the_shop_s_units() -> None:
    # 1 in is 25.4 mm (international yard and pound, 1959)
    inch, metric = usual_sizes(UnitHabit.INCH), usual_sizes(UnitHabit.METRIC)
    assert (inch.length_m, inch.width_m) == pytest.approx((0.1524, 0.1016))
    assert inch.flange_m == pytest.approx(0.0381)
    assert (metric.length_m, metric.width_m) == pytest.approx((0.15, 0.1))


@pytest.mark.parametrize(
    ("sheet", "k"), [("soft", 0.350), ("half-hard", 0.407), ("hard", 0.452), ("plastic", 0.5)]
)
def test_neutral_axis_of_a_bend(sheet: str, k: float) -> None:
    # by hand from Machinery's Handbook, bends of 90 degrees: L = 0.55 T + 1.57 R, 0.64, 0.71:
    # that part of the thickness over pi / 2
    assert k_factor(sheet) == pytest.approx(k, abs=5e-4)


def test_the_box_round_a_folded_part() -> None:
    # by hand: its corners are those of its panels, face and back
    build = build_of(
        [
            {"id": "n1", "length_m": 0.1, "width_m": 0.08},
            {"id": "n2", "joins": "n1", "length_m": 0.06, "width_m": 0.08, "up": False,
             "bend_radius_m": 0.003, "edge": "left"},
        ],
        part={"material": "aluminium 5052-H32", "thickness_m": 0.003},
    )  # fmt: skip
    found = fold(build, build.parts[0])
    assert not isinstance(found, NotDeveloped)
    corners = [
        frame.at(x, y, z)
        for frame in found.panels.values()
        for x in frame.core[::2]
        for y in frame.core[1::2]
        for z in (0.0, -0.003)
    ]
    for axis in range(3):
        least = min(corner[axis] for corner in corners)
        most = max(corner[axis] for corner in corners)
        assert found.low[axis] <= least + 1e-9
        assert found.low[axis] + found.envelope[axis] >= most - 1e-9
        assert found.low[axis] == pytest.approx(least, abs=0.0061)


@pytest.mark.parametrize(
    ("charge", "rate", "seconds"),
    [(0.4, 0.1, 6.0), (0.4, -0.1, 4.0), (1.0, 0.1, inf), (0.0, -0.1, inf), (0.5, 0.0, inf)],
)
def test_until_a_battery_is_full_or_empty(charge: float, rate: float, seconds: float) -> None:
    assert _until_full_or_empty(charge, rate) == pytest.approx(seconds)


def test_who_asked_for_a_line_of_the_bill() -> None:
    subject = Subject(small_build(), evaluate(small_build()))
    line = MaterialLine("Wire", "Cable", "4 AWG", 3, "m", 3, ("r1", "r2"))
    assert asked_by(subject, line) == "r1, r2"
    assert asked_by(subject, replace(line, note=ONE_FOR_ALL + "a roll")) == "all"
    many = tuple(f"r{i}" for i in range(1, 18))
    assert asked_by(subject, replace(line, asked_by=many)).endswith("r14 and 3 more")


def test_a_device_stands_on_its_feet() -> None:
    """Statics: the pushes on the feet make up the force and its moments, wherever its centre is."""
    feet = ((0.05, 0.04), (0.15, 0.04), (0.15, 0.12), (0.05, 0.12))
    device = Device(0, 0.12, 0.1, 4.0, 0.03, (0.2, 0.1, 0.06), 0.0, feet, 0.004)
    plate = Plate("n1", (0.0, 0.0, 0.3, 0.2), (0.0, 0.0, 0.0), ((1, 0, 0), (0, 1, 0), (0, 0, 1)))
    part = Folded(
        plates=(plate,), folds=(), clamps=(), devices=(device,), lips=(), holes=((),),
        thickness_m=0.003, density_kg_m3=2700.0, own_kg=0.486,
    )  # fmt: skip
    _, shared = device_rows(Energy(part, 70e9, 0.33), device)
    x, y, pushes = shared[:, 0], shared[:, 1], shared[:, 2:]
    # out of the sheet at the centre; a couple about x lifts what lies at larger y
    for column, total, by_x, by_y in ((2, 1.0, 0.12, 0.1), (3, 0.0, 0.0, 1.0), (4, 0.0, -1.0, 0.0)):
        assert pushes[:, column].sum() == pytest.approx(total, abs=1e-9)
        assert (pushes[:, column] * x).sum() == pytest.approx(by_x, abs=1e-9)
        assert (pushes[:, column] * y).sum() == pytest.approx(by_y, abs=1e-9)
    # a push along x 30 mm above the sheet tips about y, one along y about x the other way
    assert (pushes[:, 0] * x).sum() == pytest.approx(-0.03)
    assert (pushes[:, 1] * y).sum() == pytest.approx(-0.03)
