"""One figure each, worked out by hand beside it: more places where a small slip was not seen."""

from decimal import Decimal

import pytest
from msgspec.structs import replace

from domain.build import actions, kits
from domain.build.choices import Chemistry, HoleKind, Into, Isolates, LeadKind
from domain.build.edits import Batch
from domain.build.lengths import in_feet
from domain.build.record_kinds.extra_records import PackUnit
from domain.build.records import Block
from domain.cable.cutting_stock import Stock, pack
from domain.checks.everything import cautions
from domain.electrical import bus_bars
from domain.electrical.protection import circumstances
from domain.electrical.protection.cut_network import cut_network
from domain.electrical.sizing.size_and_solve import size_and_solve
from domain.electrical.switching import guarded_a, lead_results, remote_results
from domain.evaluate import evaluate
from domain.fabrication.materials.sheet_materials import material
from domain.fabrication.materials.shop_practice import drying, locked_by
from domain.fabrication.parts import fabricate
from domain.fabrication.shape.folded_faces import _joined_sides
from domain.fabrication.shape.folding import fold
from domain.fabrication.shape.hole_distance import _holds, cross
from domain.fabrication.shape.panel_tree import NotDeveloped
from domain.fabrication.strength.payload import burdens_of
from domain.mending import mend
from domain.money.matching import match
from domain.sheet import MaterialLine
from domain.shop.catalogue import CatalogueItem
from domain.topics.runs import LEADS
from domain.topics.tables import Subject
from domain.units.habit import UnitHabit
from tests.domain.electrical.small import changed, found, small_build
from tests.domain.fabrication.making import build_of, laid_of


def test_every_circumstance_of_a_short_is_looked_at() -> None:
    # by hand: weak or strong, engine running or off, one relay shut or open: eight in all
    build = actions.applied(small_build(), kits.battery_behind(small_build(), Isolates.RELAY))
    solved = size_and_solve(build)
    sized = solved.sized
    wire_m = {id: item.wire_m for id, item in solved.items.items()}
    net = cut_network(build, solved.wiring, wire_m)
    cases = circumstances.cases(build, net, solved.items, sized.gauge, sized.fuse_a)
    relay = next(block.id for block in build.blocks if block.isolates is Isolates.RELAY)
    assert len({case.title for case in cases}) == len(cases) == 8
    for case in cases:
        assert case.title.endswith("isolator open" if relay in case.opened else "isolator closed")
    assert sum(relay in case.opened for case in cases) == 4
    none = circumstances.cases(small_build(), net, solved.items, sized.gauge, sized.fuse_a)
    assert all("isolator" in case.title for case in none)


@pytest.mark.parametrize(
    ("sheet", "into", "how"),
    [
        ("aluminium 5052-H32", Into.TAPPED, "thread locker, or nuts with a nylon ring"),
        ("acrylic", Into.TAPPED, ""),
        ("acrylic", Into.PANEL_NUT, "nuts with a nylon ring"),
        ("acrylic", Into.WOOD, "its own bite"),
    ],
)
def test_what_keeps_a_screw_from_turning_out(sheet: str, into: Into, how: str) -> None:
    # common practice: thread locker cracks plastics
    assert locked_by(material(sheet), HoleKind.PLAIN, into) == how
    assert locked_by(None, HoleKind.PLAIN, Into.PANEL_NUT).startswith("thread locker")


def test_cables_of_an_amplifier_of_four_channels_and_one() -> None:
    # by hand: five loudspeakers, and three pairs of signal cable
    build = changed(small_build(), ("amplifiers", "a1", "channels", 4))
    build = changed(build, ("amplifiers", "a1", "sub_channels", 1))
    after = actions.applied(build, kits.audio_cables(build))
    counts = {lead.kind: lead.count for lead in after.leads}
    assert counts[LeadKind.SIGNAL] == 3
    assert counts[LeadKind.SPEAKER] == 5


def test_a_cut_that_may_not_be_the_best_does_not_say_so() -> None:
    # by hand: ten pieces of 34 out of lengths of 100, two from each: five lengths; by length alone
    # 340 / 100, so four, is all that is known to be needed
    found = pack([34] * 10, [Stock(100, 7)])
    assert (found.cost, found.bound, found.exact) == (35, 28, False)
    assert pack([34] * 3, [Stock(100, 7)]).exact


def test_a_bar_of_the_width_that_was_entered() -> None:
    # where no listed bar of that width carries it, the thickest listed is what is judged
    block = Block(id="d1", bar_width_m=0.02)
    thickest = max(thick for _, thick in bus_bars._bars())
    assert bus_bars.suits(1e5, 40.0, block) == (0.02, thickest)
    assert bus_bars.suits(1e5, 40.0) is None


def test_a_load_without_a_footprint_stands_on_four_feet() -> None:
    panel = {"id": "n1", "length_m": 0.3, "width_m": 0.18}
    build = build_of([panel], part={"load_kg": 2.0})
    (burden,) = burdens_of(build, laid_of(build).records)
    xs, ys = ({round(foot[k], 6) for foot in burden.feet} for k in (0, 1))
    # by hand: the middle third each way
    assert xs == {0.06, 0.12}
    assert ys == {0.1, 0.2}
    assert len(set(burden.feet)) == 4


@pytest.mark.parametrize(("mm", "hours"), [(2.0, 4.0), (4.0, 12.0), (7.0, 35.5)])
def test_hours_that_polycarbonate_is_dried(mm: float, hours: float) -> None:
    # the sheet maker's table, read; between two rows straight: 26 and 45 h at 6 and 8 mm
    sheet = material("polycarbonate")
    assert sheet is not None
    dried = drying(sheet, mm / 1000)
    assert dried is not None
    assert dried.hours == pytest.approx(hours, rel=1e-6)


@pytest.mark.parametrize(
    ("other", "crosses"),
    [
        (((0.0, 1.0), (1.0, 0.0)), True),
        (((2.0, 3.0), (3.0, 2.0)), False),
        (((0.2, 0.1), (1.0, 0.0)), False),
        (((0.0, 0.0), (1.0, 0.0)), False),
    ],
)
def test_segments_that_cross(
    other: tuple[tuple[float, float], tuple[float, float]], crosses: bool
) -> None:
    one = ((0.0, 0.0), (1.0, 1.0))
    assert cross(one, other) is crosses
    assert cross(other, one) is crosses


@pytest.mark.parametrize(
    ("point", "inside"),
    [((2.5, 1.2), True), ((2.1, 1.9), True), ((3.5, 1.5), False), ((2.5, 0.5), False)],
)
def test_a_point_in_a_rectangle(point: tuple[float, float], inside: bool) -> None:
    at = [(2.0, 1.0), (3.0, 1.0), (3.0, 2.0), (2.0, 2.0)]
    sides = [(at[i], at[(i + 1) % 4]) for i in range(4)]
    assert _holds(sides, point) is inside
    assert not _holds(sides[:3], point)


def test_two_walls_of_a_channel_that_meet() -> None:
    # by hand: a base of 40 mm, two walls of 80 mm bent in by 120 degrees: they cross at 60 degrees
    walls = [
        {"id": id, "joins": "n1", "edge": edge, "length_m": 0.08, "width_m": 0.06,
         "bend_deg": 120.0, "bend_radius_m": 0.003}
        for id, edge in (("n2", "near"), ("n3", "far"))
    ]  # fmt: skip
    base = {"id": "n1", "length_m": 0.04, "width_m": 0.06}
    sheet = {"material": "aluminium 5052-H32", "thickness_m": 0.002}
    folded = fold((build := build_of([base, *walls], part=sheet)), build.parts[0])
    assert not isinstance(folded, NotDeveloped)
    assert folded.clashes == (("n2", "n3"),)
    upright = [{**wall, "bend_deg": 90.0} for wall in walls]
    folded = fold((build := build_of([base, *upright], part=sheet)), build.parts[0])
    assert not isinstance(folded, NotDeveloped)
    assert folded.clashes == ()


@pytest.mark.parametrize(("edge", "side"), [("near", 0), ("right", 1), ("far", 2), ("left", 3)])
def test_the_side_that_a_bend_takes_up(edge: str, side: int) -> None:
    panels = [
        {"id": "n1", "length_m": 0.1, "width_m": 0.08},
        {"id": "n2", "joins": "n1", "edge": edge, "length_m": 0.05, "bend_radius_m": 0.003,
         "width_m": 0.08 if edge in ("near", "far") else 0.1},
    ]  # fmt: skip
    flat = laid_of(build_of(panels, part={"material": "aluminium 5052-H32"})).flat
    assert {number for id, number in _joined_sides(flat) if id == "n1"} == {side}


def test_cautions_go_by_what_the_batteries_are() -> None:
    lead, lithium = (
        small_build(),
        changed(small_build(), ("batteries", "b1", "chemistry", Chemistry.LIFEPO4)),
    )
    for build, word, other in ((lead, "hydrogen", "LiFePO4"), (lithium, "LiFePO4", "hydrogen")):
        said = " ".join(cautions(build))
        assert word in said
        assert other not in said


def test_an_alternator_that_gives_nothing_is_not_asked_about() -> None:
    build = small_build()
    (alternator,) = build.alternators
    assert found(build, "output-stated")
    assert not found(
        changed(build, ("alternators", alternator.id, "rated_a", 0.0)), "output-stated"
    )


def test_lengths_at_the_least_price() -> None:
    # by hand: 30 m from spools of 50 m at 20, or of 10 m at 9: one large spool, 20 m left over
    line = MaterialLine("Wire", "Cable", "4 AWG", 30, "m", 30, ("r1",))
    items = [
        CatalogueItem(name=name, group="Wire", unit=PackUnit("m"), pack=pack, price=Decimal(price))
        for name, pack, price in (("Small", 10, "9"), ("Large", 50, "20"))
    ]
    pieces = {("Cable", "4 AWG"): (10.0, 10.0, 10.0)}
    (bought,) = match([line], items, pieces)
    assert [(buy.item.name, buy.packs) for buy in bought.buys] == [("Large", 1)]


def test_a_short_on_a_lead_lets_through_what_feeds_it() -> None:
    build = actions.applied(small_build(), kits.audio_cables(small_build()))
    (remote,) = remote_results(build)
    fused = replace(remote, fuse_a=5.0, limit_a=12.0)
    assert guarded_a(fused) == 5.0
    assert guarded_a(fused, relay=False) == 12.0
    assert guarded_a(replace(remote, fuse_a=None, limit_a=0.5)) == 0.5
    assert guarded_a(None) == 0.0
    assert lead_results(build, (remote,))


def test_a_bare_length_is_in_feet_only_where_inches_are_the_habit() -> None:
    build = small_build()
    (battery, amplifier) = build.batteries[0], build.amplifiers[0]
    run = build.runs[0].but(source=battery.id, target=amplifier.id)
    apart = changed(
        build,
        ("batteries", battery.id, "zone", "z1"),
        ("amplifiers", amplifier.id, "zone", "z2"),
        ("header", "", "units", UnitHabit.INCH),
    )
    assert in_feet(apart, run)
    assert not in_feet(changed(apart, ("header", "", "units", UnitHabit.METRIC)), run)
    assert not in_feet(changed(apart, ("amplifiers", amplifier.id, "zone", "z1")), run)


def test_a_block_is_offered_that_takes_thicker_wire() -> None:
    # the block takes no more than 8 AWG, and the amplifier behind it loses too much
    build = changed(
        small_build(),
        ("blocks", "d1", "largest_out", "AWG 8"),
        ("runs", "r5", "length_m", 9.0),
        ("amplifiers", "a1", "channel_w", 400.0),
    )
    (drop,) = [f for f in evaluate(build).findings if f.code == "drop" and f.id == "r5"][:1]
    fixed = mend(build, drop)
    assert isinstance(fixed, Batch)
    assert "takes 6" in fixed.label or "takes 4" in fixed.label


def test_only_what_switches_shows_what_it_carries() -> None:
    build = actions.applied(small_build(), kits.audio_cables(small_build()))
    sheet = evaluate(build)
    subject = Subject(build, sheet)
    cells = LEADS.cells(subject, ["carries"])
    shown = {lead.kind: cell for lead, cell in zip(sheet.leads, cells, strict=True)}
    assert "A" in shown[LeadKind.REMOTE.value][0]
    assert "A" not in shown[LeadKind.SPEAKER.value][0]


def test_a_panel_that_cannot_be_joined_is_called_by_its_name() -> None:
    build = build_of([{"id": "n1"}, {"id": "n2", "name": "Wing", "joins": "n2"}])
    (finding,) = (f for f in fabricate(build)[1] if f.code == "part-not-developed")
    assert finding.why.startswith("Wing: ")
