"""DC-DC chargers: closed form, energy, limits, what their wires carry, and their ground."""

import pytest

from domain.build import actions
from domain.build.records import Build
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
        build = actions.applied(build, actions.add_run(build, ISOLATOR, "e2", length_m=0.4))
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


def test_the_balance_says_that_a_charger_s_draw_is_not_in_it() -> None:
    # conservation: what charges a battery comes from the alternator, beside what is fed
    build = charged()
    notes = {fact.title: fact.note for fact in balance(Subject(build, evaluate(build)))}
    assert "charger takes while it charges comes on top" in notes["Balance while driving"]
    plain = actions.start_build()
    notes = {fact.title: fact.note for fact in balance(Subject(plain, evaluate(plain)))}
    assert "charger" not in notes["Balance while driving"]
