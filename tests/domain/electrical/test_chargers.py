"""DC-DC chargers: closed form, energy, limits, what their wires carry, and their ground."""

import pytest

from domain.build import actions, kits, removal, run_ends
from domain.build.choices import Isolates
from domain.build.records import Build
from domain.build.start import start_build
from domain.electrical.network import converters
from domain.evaluate import evaluate
from domain.findings import Level
from domain.reference.planning import planned
from domain.sheet import NetworkState, Sheet
from domain.topics.supply import balance
from domain.topics.tables import Subject
from domain.work_order import work_order
from tests.domain.electrical.small import Change, changed
from tests.domain.electrical.test_isolators import ISOLATOR, van

AHEAD, BEHIND = "r7", "r5"
"""The runs into the charger and out of it."""


def charged(*changes: Change, ground: bool = True) -> Build:
    """The van with a DC-DC charger of 30 A, grounded in the boot."""
    build = van("DC-DC charger", ("blocks", ISOLATOR, "rated_a", 30.0))
    if ground:
        build = actions.applied(build, run_ends.add_run(build, ISOLATOR, "e2", length_m=0.4))
    return changed(build, *changes)


def running(sheet: Sheet) -> list[NetworkState]:
    return [state for state in sheet.states if not state.id.startswith("off")]


def volts(state: NetworkState, terminal: str) -> float:
    """Across the charger, its input ("in") or output ("out") against its negative terminal."""
    return state.node_v[f"{ISOLATOR}_{terminal}"] - state.node_v.get(f"{ISOLATOR}_neg", 0.0)


@pytest.mark.parametrize("ground", [True, False])
@pytest.mark.parametrize("efficiency", [None, 0.85])
def test_what_it_gives_is_what_it_takes_less_what_it_loses(
    ground: bool, efficiency: float | None
) -> None:
    # closed form: eta V_in I_in = V_out I_out, with the currents of the wires on both sides
    build = charged(("blocks", ISOLATOR, "efficiency", efficiency), ground=ground)
    sheet = evaluate(build)
    eta = planned("charger_efficiency") if efficiency is None else efficiency
    for state in running(sheet):
        given = volts(state, "out") * abs(state.current_a[BEHIND])
        taken = volts(state, "in") * abs(state.current_a[AHEAD])
        assert given > 50
        assert given == pytest.approx(eta * taken, rel=1e-5), state.id


def test_it_gives_its_rated_current_or_holds_its_voltage() -> None:
    sheet = evaluate(charged())
    for state in running(sheet):
        amperes = abs(state.current_a[BEHIND])
        assert amperes <= 30 * (1 + 1e-6)
        held = volts(state, "out") + amperes * planned("alternator_droop_ohm")
        assert amperes == pytest.approx(30, rel=1e-3) or held == pytest.approx(
            planned("charger_v_AGM"), abs=1e-4
        )


def test_it_lifts_the_voltage_of_a_lazy_alternator() -> None:
    # by hand: a regulated voltage of 12.9 V charges no battery; behind the charger it does
    build = charged(
        ("alternators", "g1", "regulated_v", 12.9), ("amplifiers", "a1", "channel_w", 0.0)
    )
    state = evaluate(build).state("cruise-programme")
    assert state is not None
    assert volts(state, "in") < 12.9
    assert volts(state, "out") > 13.2


def test_its_input_has_a_limit_too() -> None:
    # by hand: what 10 A bring at the input, less the loss, comes out
    sheet = evaluate(charged(("blocks", ISOLATOR, "input_a", 10.0)))
    for state in running(sheet):
        assert abs(state.current_a[AHEAD]) <= 10 * (1 + 1e-6)
        given = volts(state, "out") * abs(state.current_a[BEHIND])
        limit = planned("charger_efficiency") * volts(state, "in") * 10
        assert given <= limit * (1 + 1e-6)


def test_energy_is_conserved_in_every_state() -> None:
    # conservation: sources give what loads take and what wires and the charger turn into heat
    for state in evaluate(charged()).states:
        assert state.converged
        assert state.power_error < 1e-9


def test_the_wire_ahead_carries_more_than_the_wire_behind() -> None:
    # by hand: 30 A at 14.4 V are 39.6 A at 12 V with an efficiency of 0.91
    by_hand = 30 * planned("charger_v_AGM") / 0.91 / 12
    sheet = evaluate(charged())
    ahead, behind = sheet.run(AHEAD), sheet.run(BEHIND)
    assert ahead is not None
    assert behind is not None
    assert ahead.fuse_a is not None
    assert ahead.fuse_a * 0.8 >= by_hand
    assert behind.design_a == pytest.approx(30, rel=0.01)


def test_its_fuses_carry_its_rating_though_the_battery_takes_less_for_good() -> None:
    # common practice of chargers' makers: both sides for the rated current (from memory: 50 or 60 A
    # behind a charger of 40 A); a battery of 70 Ah takes 40 A only while it is nearly empty
    build = changed(
        charged(("amplifiers", "a1", "channel_w", 0.0)), ("blocks", ISOLATOR, "rated_a", 40.0)
    )
    sheet = evaluate(build)
    ahead, behind = sheet.run(AHEAD), sheet.run(BEHIND)
    assert ahead is not None
    assert behind is not None
    assert ahead.fuse_a is not None
    assert behind.fuse_a is not None
    assert 40 <= behind.fuse_a * 0.8 <= 60
    assert ahead.fuse_a > behind.fuse_a
    assert behind.ampacity_a >= 40


def test_its_ground_carries_what_the_fuse_ahead_lets_through() -> None:
    # a charger that is short inside: all that its fuse lets in comes back along its ground
    build = charged()
    sheet = evaluate(build)
    ground = build.runs[-1].id
    (segment,) = sheet.segments_of(ground)
    ahead, run = sheet.run(AHEAD), sheet.run(ground)
    assert ahead is not None
    assert run is not None
    assert ahead.fuse_a is not None
    assert segment.lasting_a is not None
    assert segment.lasting_a >= ahead.fuse_a * 0.999
    assert run.ampacity_a >= segment.lasting_a * 0.9
    assert not [f for f in sheet.findings if f.id == ground and f.level is not Level.NOTE]


def test_with_the_engine_off_it_neither_takes_nor_gives() -> None:
    for state in evaluate(charged()).states[-2:]:
        assert abs(state.current_a[AHEAD]) < 1e-3
        assert abs(state.current_a[BEHIND]) < 1e-3


@pytest.mark.parametrize("chemistry", ["flooded", "AGM", "LiFePO4"])
def test_its_voltage_suits_the_battery_behind_it(chemistry: str) -> None:
    build = changed(charged(), ("batteries", "b2", "chemistry", chemistry))
    (charger,) = converters.converters(build)
    assert charger.charge_v == planned(f"charger_v_{chemistry}")
    pinned = changed(build, ("blocks", ISOLATOR, "charge_v", 13.8))
    assert converters.converters(pinned)[0].charge_v == 13.8


def told(build: Build, code: str) -> list[tuple[Level, str]]:
    return [(f.level, f.field) for f in evaluate(build).findings if f.code == code]


@pytest.mark.parametrize(
    ("chemistry", "volts", "wrong"),
    [
        # makers' sheets: lead 14.4 to 14.8 V, LiFePO4 14.2 to 14.6 V
        ("AGM", 14.4, False),
        ("AGM", 14.8, False),
        ("AGM", 15.5, True),
        ("LiFePO4", 14.6, False),
        ("LiFePO4", 14.8, True),
        ("LiFePO4", 13.2, True),
        ("flooded", None, False),
    ],
)
def test_a_profile_for_another_chemistry_is_told(
    chemistry: str, volts: float | None, wrong: bool
) -> None:
    build = changed(
        charged(),
        ("batteries", "b2", "chemistry", chemistry),
        ("blocks", ISOLATOR, "charge_v", volts),
    )
    assert told(build, "charger-voltage") == [(Level.FIX, "charge_v")] * wrong


def test_a_charger_smaller_than_what_is_used_behind_it_is_told() -> None:
    # conservation of charge: some 13 A are used behind it on average (what the battery gives with
    # the engine off), 10 A more than a charger of 3 A gives; 30 A are enough
    assert told(charged(), "charger-small") == []
    small = charged(("blocks", ISOLATOR, "rated_a", 3.0))
    assert told(small, "charger-small") == [(Level.FIX, "rated_a")]
    sheet = evaluate(small)
    used, drained = (sheet.state(id) for id in ("off-programme", "cruise-programme"))
    assert used is not None
    assert drained is not None
    assert drained.battery_a["b2"] == pytest.approx(used.battery_a["b2"] - 3.0, abs=0.5)


def test_a_charger_without_a_ground_lead_is_told() -> None:
    assert told(charged(), "charger-ground") == []
    assert told(charged(ground=False), "charger-ground") == [(Level.FIX, "name")]


def test_nothing_but_notes_is_said_of_a_sound_one() -> None:
    sheet = evaluate(charged(), swept=True)
    assert [f.what for f in sheet.findings if f.level is not Level.NOTE] == []


def test_it_is_bought_and_set_for_its_battery() -> None:
    sheet = evaluate(charged())
    assert ("DC-DC charger", "30 A") in {(line.item, line.size) for line in sheet.materials}
    steps = [step.what for step in work_order(charged(), sheet)]
    assert sum("set its profile for the battery behind it, 14.40 V" in step for step in steps) == 1


IN_V = 13.5
"""Design voltage (ISO 8854): posts held while alternators give what they are rated for."""


def house(*changes: Change) -> Build:
    """A car with a second battery of 70 Ah AGM behind a charger of 40 A, an amplifier at the first.

    The alternator gives 100 A hot while driving and 50 A at idle, the vehicle takes 35 A.
    """
    build = start_build()
    build = actions.applied(build, actions.add(build, "amplifiers", onboard_fuse_a=80.0))
    build = actions.applied(build, kits.battery_behind(build, Isolates.CONVERTER))
    return changed(
        build,
        ("alternators", "g1", "rated_a", 100.0),
        ("alternators", "g1", "hot", True),
        ("alternators", "g1", "idle_a", 50.0),
        *changes,
    )


def test_what_a_charger_takes_is_in_the_balance() -> None:
    # by hand: AGM of 70 Ah takes 0.3 of it, 21 A at 14.4 V; over 0.91 at 13.5 V that is 24.6 A
    build = house()
    supply = evaluate(build).supply
    takes = 0.3 * 70 * 14.4 / (0.91 * IN_V)
    assert supply.chargers_a == pytest.approx(takes)
    assert supply.chargers_full_a == 0.0
    assert supply.behind_a == 0.0
    music = supply.programme_a
    assert supply.cruise_balance_a == pytest.approx(100 - 35 - music - takes)
    assert supply.idle_balance_a == pytest.approx(50 - 35 - music - takes)
    # LiFePO4 takes what it is given: all 40 A, at 14.2 V
    lithium = evaluate(house(("batteries", "b2", "chemistry", "LiFePO4"))).supply
    assert lithium.chargers_a == pytest.approx(40 * 14.2 / (0.91 * IN_V))
    # no more than its input lets in
    limited = evaluate(house(("blocks", "d2", "input_a", 10.0))).supply
    assert limited.chargers_a == 10.0


def test_what_is_fed_behind_a_charger_is_taken_through_it_once() -> None:
    build = house()
    moved = actions.applied(build, run_ends.feed_from(build, "r4", "b2"))
    supply = evaluate(moved).supply
    music = supply.programme_a
    assert supply.behind_a == pytest.approx(music)
    through = 14.4 / (0.91 * IN_V)
    assert supply.chargers_a == pytest.approx(min(40, 21 + music) * through)
    assert supply.chargers_full_a == pytest.approx(min(40, music) * through)
    assert supply.cruise_balance_a == pytest.approx(100 - 35 - supply.chargers_a)
    # more than it gives: the rest comes out of the battery behind it, not from the alternator
    small = evaluate(changed(moved, ("blocks", "d2", "rated_a", 3.0))).supply
    assert small.chargers_a == pytest.approx(3 * through)


def test_two_chargers_in_a_row_take_one_out_of_the_other() -> None:
    # by hand: the last gives 5 A at 14.4 V, which are 5.86 A out of the middle battery; the first
    # gives that and the 21 A which the middle one takes
    build = house()
    build = actions.applied(build, kits.battery_behind(build, Isolates.CONVERTER))
    last = build.blocks[-1].id
    feed = next(run.id for run in build.runs if run.target == last)
    build = changed(build, ("runs", feed, "source", "b2"), ("blocks", last, "rated_a", 5.0))
    through = 14.4 / (0.91 * IN_V)
    assert evaluate(build).supply.chargers_a == pytest.approx((21 + 5 * through) * through)


def test_what_lacks_is_taken_out_of_the_starter_battery_alone() -> None:
    # by hand: Peukert, 20 h and k = 1.1 (AGM) from 80 % to half, of its 70 Ah: the battery behind
    # the charger gives nothing there
    build = house(("alternators", "g1", "rated_a", 55.0))
    supply = evaluate(build).supply
    lack = -supply.cruise_balance_a
    assert lack > 0
    hours = 20 * (70 / (lack * 20)) ** 1.1
    assert supply.minutes_to_half_cruise == pytest.approx(60 * 0.3 * hours)
    # only while it charges: a note, not a fault; for good: a fault
    assert told(build, "short-cruise") == [(Level.NOTE, "rated_a")]
    assert told(house(("alternators", "g1", "rated_a", 36.0)), "short-cruise") == [
        (Level.FIX, "rated_a")
    ]


def test_a_charger_neither_shortens_nor_lengthens_play_with_the_engine_off() -> None:
    # conservation: with the engine off it does nothing, so that it plays as long as without
    build = house(("amplifiers", "a1", "channel_w", 200.0))
    alone = actions.applied(build, removal.remove(build, "batteries", "b2"))
    with_charger, without = (evaluate(each).supply.play_minutes for each in (build, alone))
    assert with_charger == pytest.approx(without, rel=1e-3)


def test_the_balance_says_what_chargers_take() -> None:
    facts = {f.title: f for f in balance(Subject(house(), evaluate(house())))}
    assert facts["DC-DC chargers take"].value == pytest.approx(24.615, abs=0.001)
    assert "0 A once full" in facts["DC-DC chargers take"].note
    plain = start_build()
    assert "DC-DC chargers take" not in {f.title for f in balance(Subject(plain, evaluate(plain)))}
