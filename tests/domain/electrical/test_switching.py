"""Remote outputs and their leads: what they give, the relay, and what goes with what."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from domain.build import actions, kits, removal
from domain.build.choices import LeadKind
from domain.build.edits import Edit, EditRefused, RemoveRecord, Scalar, SetField, apply
from domain.build.records import Build
from domain.build.start import start_build
from domain.cable.cut_list import cut_list
from domain.electrical.switching import carried_a, output_of, remote_results
from domain.evaluate import evaluate
from domain.findings import Level
from domain.work_order import work_order
from tests.domain.electrical.small import changed, found, small_build

CODES = (
    *("remote-over", "remote-limit", "remote-relay-unfed", "remote-relay-fuse", "remote-loose"),
    *("lead-nowhere", "remote-joined", "remote-missing", "lead-thin"),
)


def car(amplifiers: int) -> Build:
    build = start_build()
    for _ in range(amplifiers):
        build = actions.applied(build, actions.add(build, "amplifiers", channel_w=100.0))
    return build


def told(build: Build) -> set[str]:
    return {f.code for f in evaluate(build).findings} & set(CODES)


def lead(build: Build, **values: Scalar) -> Build:
    return actions.applied(build, actions.add(build, "leads", **values))


def test_an_amplifier_brings_its_remote_lead_and_the_first_one_the_head_unit() -> None:
    build = car(2)
    assert [(r.id, r.name) for r in build.remotes] == [("t1", "Head unit")]
    assert [(w.source, w.target) for w in build.leads] == [("t1", "a1"), ("t1", "a2")]
    assert told(build) == set()


def test_a_plan_from_before_has_none_and_nothing_is_said_of_it() -> None:
    # a stored plan of before: its amplifiers have no leads
    old = small_build().but(leads=(), remotes=())
    sheet = evaluate(old)
    assert (sheet.remotes, sheet.leads) == ((), ())
    assert told(old) == set()
    assert not [m for m in sheet.materials if m.group in ("Switching", "Audio cable")]


def test_two_amplifiers_hang_on_the_output_and_the_third_brings_a_relay() -> None:
    # common practice, a dealer's guide: two amplifiers direct, a relay from the third on
    for amplifiers, relay in ((1, False), (2, False), (3, True), (6, True)):
        (remote,) = evaluate(car(amplifiers)).remotes
        assert remote.relay is relay
        assert remote.given_a <= remote.limit_a


def test_a_relay_comes_with_socket_fuse_diode_and_three_wires() -> None:
    sheet = evaluate(car(3))
    assert {m.item for m in sheet.materials if m.group == "Switching"} == {
        "Relay, 12 V, 30 A or more",
        "Relay socket with tails",
        "Diode, 1 A",
        "Crimp splice, insulated",
    }
    (fuse,) = [m for m in sheet.materials if m.group == "Fuses" and "t1" in m.asked_by]
    assert (fuse.item, fuse.size) == ("Fuse blade C (medium)", "3 A")
    wires = [each for each in sheet.leads if each.record == "t1"]
    # DIN 72552: 85 and 86 the coil, 30 the feed, 87 make
    ends = [(each.source, each.target) for each in wires]
    assert ends == [
        ("Head unit", "Head unit relay, 86"),
        ("Main block", "Head unit relay, 30"),
        ("Head unit relay, 85", "a ground point beside it"),
    ]
    assert {each.source for each in sheet.leads if each.record != "t1"} == {"Head unit relay, 87"}
    # the fuse of its feed holds what flows at four fifths (common practice), and every wire it
    for each in sheet.leads:
        assert each.holds_a is not None
        assert each.carries_a is not None
        assert each.carries_a <= 0.8 * 3
        assert each.holds_a >= 3


def test_without_its_relay_it_must_give_too_much() -> None:
    build = changed(car(3), ("remotes", "t1", "relay", False))
    (finding,) = found(build, "remote-over")
    assert finding.level is Level.FIX
    assert "0.3 A" in finding.what
    # what its manual says goes before what is usual
    assert told(changed(build, ("remotes", "t1", "limit_a", 0.5))) == set()
    assert told(changed(car(3), ("remotes", "t1", "limit_a", 0.5))) == set()


def test_what_is_usual_is_asked_for_where_a_relay_hangs_on_it() -> None:
    assert told(car(3)) == {"remote-limit"}
    assert told(changed(car(3), ("remotes", "t1", "limit_a", 0.25))) == set()


def test_not_even_the_coil() -> None:
    build = changed(car(1), ("remotes", "t1", "limit_a", 0.05))
    (finding,) = found(build, "remote-over")
    assert "coil" in finding.why


def test_what_is_handed_on_is_carried_by_the_lead_before() -> None:
    build = changed(
        car(3),
        ("leads", "w2", "source", "a1"),
        ("leads", "w3", "source", "a2"),
        ("leads", "w3", "draws_a", 0.02),
    )
    carried = {each.id: each.carries_a for each in evaluate(build).leads if each.record != "t1"}
    # 0.1 A usual for an amplifier, and 0.02 A as entered at the end of the chain
    assert carried == {"w1": pytest.approx(0.22), "w2": pytest.approx(0.12), "w3": 0.02}
    assert [output_of(build, each) for each in build.leads] == ["t1"] * 3


def test_leads_in_a_circle_switch_nothing() -> None:
    build = changed(car(2), ("leads", "w1", "source", "a2"), ("leads", "w2", "source", "a1"))
    loose = found(build, "remote-loose")
    assert [(f.id, f.level) for f in loose] == [("w1", Level.FIX), ("w2", Level.FIX)]


def test_two_outputs_on_one_device() -> None:
    build = actions.applied(car(2), actions.add(car(2), "remotes", name="Ignition"))
    build = lead(build, source="t2", target="a1")
    (finding,) = found(build, "remote-joined")
    assert finding.what == "Amp 1 is switched by Head unit and Ignition"
    # a second lead from the same output is no fault
    assert "remote-joined" not in told(changed(build, ("leads", "w3", "source", "t1")))


def test_an_amplifier_that_nothing_switches() -> None:
    build = actions.applied(car(2), removal.remove(car(2), "leads", "w2"))
    (finding,) = found(build, "remote-missing")
    assert (finding.id, finding.level) == ("a2", Level.NOTE)


def test_a_thin_wire_behind_the_relay() -> None:
    build = changed(car(3), ("leads", "w1", "draws_a", 12.0), ("leads", "w2", "gauge", "AWG 24"))
    (finding,) = found(build, "lead-thin")
    assert (finding.id, finding.level) == ("w2", Level.STOP)
    # what was left to the engine holds the fuse of 20 A for 12.2 A at four fifths and 50 C
    w1 = next(each for each in evaluate(build).leads if each.id == "w1")
    remote = evaluate(build).remotes[0]
    assert remote.fuse_a is not None
    assert w1.holds_a is not None
    assert w1.holds_a >= remote.fuse_a >= 12.2 / 0.8


def test_a_relay_without_anything_to_feed_it() -> None:
    build = car(3)
    for table, id in (("blocks", "d1"), ("batteries", "b1")):
        build = actions.applied(build, removal.remove(build, table, id))
    assert "remote-relay-unfed" in told(build)


def test_a_device_that_goes_takes_its_lead_along_and_hands_the_next_one_back() -> None:
    build = changed(car(2), ("leads", "w2", "source", "a1"), ("leads", "w2", "length_m", 0.5))
    edit = removal.remove(build, "amplifiers", "a1")
    after = actions.applied(build, edit)
    assert "Amp 1 remote" in edit.label
    assert [(w.id, w.source, w.length_m) for w in after.leads] == [("w2", "t1", None)]
    # and the output takes all its leads along
    gone = removal.remove(after, "remotes", "t1")
    assert "Amp 2 remote" in gone.label
    assert actions.applied(after, gone).leads == ()


def test_a_block_that_goes_leaves_the_relay_to_the_next_feed() -> None:
    build = changed(car(3), ("remotes", "t1", "feed", "d1"))
    after = actions.applied(build, removal.remove(build, "blocks", "d1"))
    assert after.remotes[0].feed == ""
    assert remote_results(after)[0].feed == "b1"


def test_signal_and_loudspeaker_cables_of_all_amplifiers() -> None:
    build = start_build()
    build = actions.applied(build, actions.add(build, "amplifiers", channels=4, channel_w=75.0))
    before = evaluate(build)
    after = actions.applied(build, kits.audio_cables(build))
    sheet = evaluate(after)
    assert [(w.kind, w.count) for w in after.leads[1:]] == [
        (LeadKind.SIGNAL, 2),
        (LeadKind.SPEAKER, 4),
    ]
    # only lines of the bill and labels: nothing of the power side follows from them
    assert sheet.runs == before.runs
    assert sheet.findings == before.findings
    audio = {m.item: (m.quantity, m.unit) for m in sheet.materials if m.group == "Audio cable"}
    assert audio["Signal cable, one pair"] == (2, "each")
    length, unit = audio["Loudspeaker cable, two conductors"]
    assert unit == "m"
    # four of 16 ft with a tenth of slack and 4 in for the ends of each, by the foot
    assert length / 0.3048 == pytest.approx(72, abs=1)
    with pytest.raises(EditRefused):
        kits.audio_cables(after)


def test_steps_of_the_work_order() -> None:
    build = actions.applied(car(3), kits.audio_cables(car(3)))
    steps = [step.what for step in work_order(build, evaluate(build))]
    relay = next(i for i, text in enumerate(steps) if text.startswith("Fit the relay"))
    feed = next(i for i, text in enumerate(steps) if "stays OUT" in text and "(t1)" in text)
    fuse = next(i for i, text in enumerate(steps) if "relay: put in its" in text)
    proved = next(i for i, text in enumerate(steps) if text.startswith("Head unit on:"))
    assert relay < feed < fuse < proved
    assert sum("away from the power wires" in text for text in steps) == 3


@st.composite
def drawn(draw: st.DrawFn) -> Build:
    """A car whose leads and outputs were edited at random."""
    build = car(draw(st.integers(1, 4)))
    for _ in range(draw(st.integers(0, 8))):
        try:
            build, _ = apply(build, _edit(draw, build))
        except EditRefused:
            continue
    return build


def _edit(draw: st.DrawFn, build: Build) -> Edit:
    what = draw(st.sampled_from(["add", "remove", "source", "target", "value"]))
    if what == "add" or not build.leads:
        return actions.add(build, draw(st.sampled_from(["leads", "remotes"])))
    at = draw(st.sampled_from([each.id for each in build.leads]))
    devices = [each.id for each in (*build.amplifiers, *build.remotes)]
    if what == "remove":
        id = draw(st.sampled_from([at, *devices]))
        table = {"w": "leads", "a": "amplifiers", "t": "remotes"}[id[0]]
        return removal.remove(build, table, id)
    if what in ("source", "target"):
        ends = [id for id in devices if what == "source" or id[0] == "a"]
        value = draw(st.sampled_from([*ends, ""]))
        return SetField(table="leads", id=at, field=what, value=value)
    field, values = draw(
        st.sampled_from(
            [("draws_a", (0.0, 0.5, 30.0)), ("gauge", ("AWG 24", "2.5 mm2")), ("count", (1, 32))]
        )
    )
    return SetField(table="leads", id=at, field=field, value=draw(st.sampled_from(values)))


@settings(max_examples=25, deadline=None)
@given(drawn())
def test_what_outputs_give_is_what_devices_take(build: Build) -> None:
    sheet = evaluate(build)
    # conservation: an output gives the sum of what is led from it, chains counted once each
    for remote in sheet.remotes:
        own = [w for w in build.leads if w.source == remote.id and w.kind is LeadKind.REMOTE]
        assert remote.devices_a == pytest.approx(sum(carried_a(build, w) for w in own))
    # what the engine chose by itself it never condemns
    pinned = any(w.gauge is not None for w in build.leads)
    assert pinned or "lead-thin" not in {f.code for f in sheet.findings}


def test_the_colour_of_a_lead_is_not_taken_from_its_name() -> None:
    # common practice: remote leads are blue, whatever they are called
    build = car(1)
    for name in ("", "Amp ground"):
        named = changed(build, ("leads", build.leads[0].id, "name", name))
        pieces = [p for g in cut_list(named, evaluate(named)).groups for p in g.pieces]
        assert {p.colour for p in pieces if p.run == build.leads[0].id} == {"blue"}


def test_a_lead_bears_what_its_output_can_give_into_a_short() -> None:
    # the rule of the trade: a fuse, here that of an ignition circuit, protects the wire behind it
    build = changed(
        car(1), ("remotes", "t1", "kind", "ignition circuit"), ("remotes", "t1", "limit_a", 30.0)
    )
    (found_lead,) = (w for w in evaluate(build).leads if w.id == build.leads[0].id)
    assert found_lead.holds_a is not None
    assert found_lead.holds_a >= 30.0
    thin = changed(build, ("leads", build.leads[0].id, "gauge", "AWG 18"))
    assert [f.level for f in evaluate(thin).findings if f.code == "lead-thin"] == [Level.STOP]


def test_a_lead_is_worked_out_anew_where_the_feed_of_what_it_switches_goes() -> None:
    # by hand: 6 W at 12 V, which the lead alone now feeds; before, what a switching input takes
    build = car(1)
    build = actions.applied(build, actions.add(build, "appliances", power_w=6.0, rated_v=12.0))
    build = lead(build, source="t1", target="v1")
    carried = {each.id: each.carries_a for each in evaluate(build).leads}
    assert carried["w2"] == pytest.approx(0.1)
    feed = next(run for run in build.runs if run.target == "v1")
    build = actions.applied(build, RemoveRecord(table="runs", id=feed.id))
    carried = {each.id: each.carries_a for each in evaluate(build).leads}
    assert carried["w2"] == pytest.approx(0.5)
