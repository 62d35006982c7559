"""The screws of a part as records: what they go into decides, with bill, torque and steps."""

from math import sqrt
from typing import Any

import pytest

from domain.build.choices import HoleKind, HoleShape, Into, UnitHabit
from domain.build.edits import EditRefused, apply
from domain.build.records import Build, Fixing
from domain.build.removal import remove
from domain.build.start import start_build
from domain.evaluate import evaluate
from domain.fabrication.copying import copy_part
from domain.fabrication.fixing_actions import carry, fix_part, part_for_spot, screws_at_corners
from domain.fabrication.materials.inserts import insert_for
from domain.fabrication.mending import mend
from domain.fabrication.parts import fabricate
from domain.fabrication.steps import steps
from domain.fabrication.strength.behind import BODY_STEEL_PA, behind
from domain.findings import Level
from domain.materials.bill import materials_list
from domain.sheet import MaterialLine
from tests.domain.fabrication.making import build_of, codes_of

METAL: dict[str, Any] = {"material": "aluminium 5052-H32", "thickness_m": 0.003}
PLASTIC: dict[str, Any] = {"material": "ABS", "thickness_m": 0.006}
PLACES = ((0.015, 0.015), (0.185, 0.015), (0.015, 0.135), (0.185, 0.135))


def plate(
    into: Into = Into.PANEL_NUT,
    behind_m: float | None = 0.0008,
    part: dict[str, Any] = METAL,
    load_kg: float = 0.5,
    places: tuple[tuple[float, float], ...] = PLACES,
    thread: str = "M5",
    kind: str = "clearance",
    **tables: Any,
) -> Build:
    """A plate on screws that say what they go into."""
    fixing = {"id": "x1", "part": "p1", "into": into.value, "behind_m": behind_m, "thread": thread}
    holes = [
        {"id": f"h{k}", "panel": "n1", "x_m": x, "y_m": y, "kind": kind, "fixing": "x1"}
        for k, (x, y) in enumerate(places, 1)
    ]
    panels = [{"id": "n1", "name": "Plate", "length_m": 0.15, "width_m": 0.2}]
    made = build_of(panels, part={**part, "load_kg": load_kg}, fixings=[fixing], holes=holes,
                    **tables)  # fmt: skip
    header = made.header.but(units=UnitHabit.METRIC)
    return made.but(header=header)


def margins(build: Build) -> list[float]:
    strong = fabricate(build)[0][0].strength
    assert strong is not None
    return [screw.margin for screw in strong.screws if screw.margin is not None]


def lines(build: Build) -> dict[str, MaterialLine]:
    parts = fabricate(build)[0]
    return {f"{m.item} {m.size}".strip(): m for m in materials_list(build, (), parts)}


def test_what_is_behind_decides() -> None:
    through = min(margins(plate(load_kg=8)))
    tapping = min(margins(plate(Into.PANEL, load_kg=8)))
    wood = min(margins(plate(Into.WOOD, 0.006, load_kg=8)))
    assert tapping < through
    assert wood < through
    build = plate(Into.PANEL, load_kg=25)
    found = [f for f in fabricate(build)[1] if f.code == "fixing-weak"]
    assert found
    assert found[0].level is Level.STOP
    assert "hold in the panel" in found[0].why
    # thicker steel behind holds it
    assert not [c for c in codes_of(plate(Into.TAPPED, 0.006, load_kg=8)) if c == "fixing-weak"]


def test_a_thickness_that_nobody_measured_is_said() -> None:
    found = [
        f for f in fabricate(plate(Into.PANEL, None, load_kg=25))[1] if f.code == "fixing-weak"
    ]
    assert "nobody measured" in found[0].why


def test_questions_are_asked_once() -> None:
    assert "fixing-not-told" in codes_of(plate(Into.UNKNOWN))
    assert "fixing-not-told" not in codes_of(plate())
    bare = plate(places=())
    assert "fixing-without-holes" in codes_of(bare)
    assert "part-held-by-nothing" in codes_of(bare)
    assert "thread-unknown" in codes_of(plate(thread="7/9-3"))


def test_only_the_holes_that_name_a_fixing_hold() -> None:
    build = plate()
    extra = {"id": "h9", "panel": "n1", "x_m": 0.1, "y_m": 0.075, "kind": "clearance"}
    more = build.but(holes=(*build.holes, type(build.holes[0]).of(extra)))
    strong = fabricate(more)[0][0].strength
    assert strong is not None
    assert {screw.id for screw in strong.screws} == {"h1", "h2", "h3", "h4"}


def test_a_sound_plate_is_left_alone() -> None:
    for into, thick in ((Into.PANEL_NUT, 0.0008), (Into.RIVET_NUT, 0.0008), (Into.TAPPED, 0.005)):
        bad = [f.code for f in fabricate(plate(into, thick, load_kg=0.3))[1]
               if f.level is not Level.NOTE]  # fmt: skip
        assert bad == []


def test_the_bill_has_what_goes_with_each_way() -> None:
    through = lines(plate())
    # M5: washer 1.0, plate 3, panel 0.8, washer 1.0, nut 4.7, pitch 0.8: 11.3, the next is 12 mm
    assert through["Machine screw M5 x 12 mm"].needed == 4
    assert through["Plain washer M5"].needed == 8
    assert through["Nut M5"].needed == 4
    assert "Thread locker" in through
    riveted = lines(plate(Into.RIVET_NUT))
    assert riveted["Rivet nut M5"].needed == 4
    assert riveted["Plain washer M5"].needed == 4
    assert not any(name.startswith("Nut") for name in riveted)
    assert any(name.startswith("Wood screw") for name in lines(plate(Into.WOOD, 0.018)))
    assert any(name.startswith("Tapping screw") for name in lines(plate(Into.PANEL)))
    plastic = lines(plate(part=PLASTIC))
    assert plastic["Nylon ring nut M5"].needed == 4
    assert "Thread locker" not in plastic
    assert "Thread locker" not in lines(plate(Into.RIVET_NUT, part=PLASTIC))


def test_both_hands_are_bought_and_drawn() -> None:
    one = plate()
    two = one.but(parts=(one.parts[0].but(both_hands=True),))
    assert lines(two)["Plain washer M5"].needed == 16
    assert fabricate(two)[0][0].quantity == 2


def test_a_screw_that_is_too_short_is_told() -> None:
    build = plate()
    short = build.fixings[0].but(screw_m=0.008)
    assert "fixing-screw-short" in codes_of(build.but(fixings=(short,)))
    long = build.fixings[0].but(screw_m=0.012)
    assert "fixing-screw-short" not in codes_of(build.but(fixings=(long,)))


def test_plastics_are_drawn_gently() -> None:
    tight = []
    for part in (METAL, PLASTIC):
        strong = fabricate(plate(part=part))[0][0].strength
        assert strong is not None
        torque = strong.screws[0].torque_nm
        assert torque is not None
        tight.append(torque)
    assert tight[1] < tight[0] / 2
    told = [step.what for step in steps(plate(part=PLASTIC), plate(part=PLASTIC).parts[0])]
    assert any("M5 into body panel, nut behind to" in what for what in told)
    by_hand = plate(Into.PANEL)
    told = [step.what for step in steps(by_hand, by_hand.parts[0])]
    assert any("by hand until its head is seated" in what for what in told)


def test_what_shakes_loose_in_plastic_is_told() -> None:
    heavy = plate(Into.RIVET_NUT, 0.002, part=PLASTIC, load_kg=2)
    assert "fixing-slips" in codes_of(heavy)
    # a nut with a nylon ring stays where it is, and metal takes thread locker
    assert "fixing-slips" not in codes_of(plate(Into.PANEL_NUT, 0.002, part=PLASTIC, load_kg=2))
    assert "fixing-slips" not in codes_of(plate(Into.RIVET_NUT, 0.002, load_kg=2))


@pytest.mark.parametrize(
    ("part", "kind", "code"),
    [
        (PLASTIC, "countersunk", "countersunk-in-plastic"),
        ({**METAL, "thickness_m": 0.002}, "countersunk", "countersunk-too-deep"),
        (METAL, "heat-set insert", "insert-wrong-sheet"),
        (PLASTIC, "heat-set insert", "insert-too-long"),
        (PLASTIC, "rivet nut", "insert-wrong-sheet"),
        ({**METAL, "thickness_m": 0.006}, "rivet nut", "insert-grip"),
    ],
)
def test_sheets_that_are_wrong_for_a_hole(part: dict[str, Any], kind: str, code: str) -> None:
    assert code in codes_of(plate(part=part, kind=kind))


@pytest.mark.parametrize(
    ("part", "kind", "drill_m"),
    [
        ({**METAL, "thickness_m": 0.005}, "countersunk", 0.0055),
        ({**PLASTIC, "thickness_m": 0.0127}, "heat-set insert", 0.0064),
        (METAL, "rivet nut", 0.0071),
    ],
)
def test_holes_for_flat_heads_and_inserts(part: dict[str, Any], kind: str, drill_m: float) -> None:
    build = plate(part=part, kind=kind)
    codes = codes_of(build)
    assert not [code for code in codes if code.startswith(("insert", "countersunk"))]
    result = fabricate(build)[0][0]
    # ISO 273 medium; usual inserts
    assert [hole.diameter_m for hole in result.holes] == pytest.approx([drill_m] * 4)
    assert {hole.kind for hole in result.holes} == {HoleKind(kind).value}
    told = " ".join(step.what for step in steps(build, build.parts[0]))
    assert ("countersink h1" in told) == (kind == "countersunk")
    assert ("set the" in told) == (kind != "countersunk")


def test_plastic_on_steel_needs_slots() -> None:
    wide = ((0.015, 0.075), (0.585, 0.075))
    build = plate(part={"material": "acrylic", "thickness_m": 0.006}, places=wide)
    long = build.panels[0].but(width_m=0.6)
    build = build.but(panels=(long,))
    found = next(f for f in fabricate(build)[1] if f.code == "no-room-to-grow")
    # by hand: (70 - 12)e-6 1/K x 570 mm x 40 K or more is 1.3 mm or more; two holes of 5.5 mm give
    # an M5 screw 0.25 mm each
    assert "0.5 mm" in found.why
    edit = mend(build, found)
    assert edit is not None
    assert "no-room-to-grow" not in codes_of(apply(build, edit)[0])
    slot = build.holes[1].but(shape=HoleShape.SLOT, across_m=0.009)
    slotted = build.but(holes=(build.holes[0], slot))
    assert "no-room-to-grow" not in codes_of(slotted)
    assert "no-room-to-grow" not in codes_of(plate(part=METAL))


def test_a_part_is_screwed_on_in_one_edit() -> None:
    bare = build_of(
        [{"id": "n1", "name": "Plate", "length_m": 0.15, "width_m": 0.2}], part={**METAL}
    )
    edit = fix_part(bare, "p1", Into.RIVET_NUT)
    after, back = apply(bare, edit)
    assert len(after.holes) == 4
    assert not [f for f in fabricate(after)[1] if f.level is not Level.NOTE]
    assert apply(after, back)[0] == bare
    small = build_of([{"id": "n1", "length_m": 0.012, "width_m": 0.012}], part={**METAL})
    with pytest.raises(EditRefused, match="too small"):
        fix_part(small, "p1", Into.PANEL)
    copied, _ = apply(after, copy_part(after, "p1"))
    assert {hole.fixing for hole in copied.holes} == {fixing.id for fixing in copied.fixings}
    assert len(copied.fixings) == 2
    loose, _ = apply(after, remove(after, "fixings", "x1"))
    assert {hole.fixing for hole in loose.holes} == {""}


def test_a_device_is_carried_in_one_edit_and_asks_for_its_mass() -> None:
    bare = build_of(
        [{"id": "n1", "name": "Plate", "length_m": 0.15, "width_m": 0.2}],
        part={**METAL},
        blocks=[{"id": "d1", "name": "Block"}],
    )
    after, _ = apply(bare, carry(bare, "p1", device="d1"))
    assert after.parts[0].carries == "d1"
    assert {"mount-without-mass", "part-held-by-nothing"} <= set(codes_of(after))
    screwed, _ = apply(after, screws_at_corners(after, after.footprints[0].id, 0.08, 0.04))
    middle = 2 * 0.0254  # of the 4 in by 4 in that are taken for a device nobody measured
    xs, ys = (middle - 0.04, middle + 0.04), (middle - 0.02, middle + 0.02)
    assert [s.x_m for s in screwed.studs] == pytest.approx([*xs, *xs])
    assert [s.y_m for s in screwed.studs] == pytest.approx([ys[0], ys[0], ys[1], ys[1]])


def test_a_spot_becomes_the_part_that_goes_there() -> None:
    from domain.build import actions

    build = start_build()
    build = actions.applied(build, actions.add_amplifier(build, channel_w=100.0))
    spot: dict[str, Any] = {"id": "s1", "name": "Strut", "run": "r4", "zone": "z1"}
    spot |= {"behind_m": 0.0012, "into": "rivet nut in body panel"}
    build = Build.of({**build.plain(), "spots": [spot]})
    edit, part = part_for_spot(build, "s1")
    after, back = apply(build, edit)
    made = next(each for each in after.parts if each.id == part)
    assert (made.carries, made.zone) == ("r4", "z1")
    (fixing,) = after.fixings
    assert (fixing.into, fixing.behind_m) == (Into.RIVET_NUT, 0.0012)
    assert apply(after, back)[0] == build
    assert evaluate(after).parts[0].holes
    # its holder is on the plate, so that the body takes no screws for it
    holders = [line for line in evaluate(after).materials if line.item == "Screw for fuse holder"]
    before = [line for line in evaluate(build).materials if line.item == "Screw for fuse holder"]
    assert sum(h.needed for h in holders) == sum(b.needed for b in before) - 2


def test_what_is_screwed_on_for_you_has_room_to_grow() -> None:
    wide = {"id": "n1", "name": "Plate", "length_m": 0.3, "width_m": 0.6}
    for material in ("acrylic", "ABS"):
        bare = build_of([wide], part={"material": material, "thickness_m": 0.006})
        after, _ = apply(bare, fix_part(bare, "p1", Into.PANEL_NUT))
        assert [hole.shape for hole in after.holes].count(HoleShape.SLOT) == 3
        assert not [f for f in fabricate(after)[1] if f.level is not Level.NOTE]
        assert "no-room-to-grow" not in codes_of(after)


def test_a_rivet_nut_is_torn_through_its_panel_and_an_insert_out_of_its_bore() -> None:
    # hand: 0.5 dw t fu / 1.25 and a fu d t / 1.25 with a = 3.2 sqrt(t/d) <= 2.1 for the nut in its
    # hole (EN 1993-1-3, table 8.2 and 8.4); what an insert holds is tabled, its hole tears nothing
    nut = insert_for(HoleKind.RIVET_NUT, "M5")
    heat_set = insert_for(HoleKind.INSERT, "M5")
    assert nut is not None
    assert heat_set is not None
    record = Fixing(id="x1", part="p1", into=Into.RIVET_NUT, behind_m=0.001, thread="M5")
    found = behind(record, "M5")
    assert found is not None
    assert "rivet nut" in found.what
    assert found.pull_n == pytest.approx(0.5 * nut.flange_m * 0.001 * BODY_STEEL_PA / 1.25)
    a = min(3.2 * sqrt(0.001 / nut.hole_m), 2.1)
    assert found.shear_n == pytest.approx(a * BODY_STEEL_PA * nut.hole_m * 0.001 / 1.25)
    other = behind(record.but(into=Into.INSERT), "M5")
    assert other is not None
    assert "insert" in other.what
    assert (other.pull_n, other.torque_nm) == (heat_set.pull_n, heat_set.torque_nm)


def test_a_tapped_thread_is_turned_to_three_quarters_of_what_strips_it() -> None:
    # hand: T = 0.2 F d with the force that pulls the thread out, and a quarter to spare (textbook
    # nut factor 0.2, memory)
    record = Fixing(id="x1", part="p1", into=Into.TAPPED, behind_m=0.003, thread="M5")
    found = behind(record, "M5")
    assert found is not None
    assert found.torque_nm == pytest.approx(0.75 * 0.2 * 0.005 * found.pull_n)


def test_weak_screws_are_told_in_one_finding_at_the_worst() -> None:
    parts, findings = fabricate(plate(Into.PANEL, load_kg=25))
    weak = [f for f in findings if f.code == "fixing-weak"]
    assert len(weak) == 1
    result = parts[0].strength
    assert result is not None
    screws = {s.id: s.margin for s in result.screws if s.margin is not None and s.margin < 2}
    assert len(screws) > 1
    assert weak[0].id == min(screws, key=lambda id: screws[id])
    assert weak[0].what.endswith(f", the worst of {len(screws)}")
