"""Wrong combinations of what feeds, charges and parts: each gives its finding, its sound neighbour
none of it.

What is wrong is trade knowledge, by the sources that the findings name (battery makers' sheets,
IEC 62485-2, 33 CFR 183.455, common practice); figures in the words are worked out beside each case.
"""

from collections.abc import Callable
from typing import NamedTuple

import pytest

from domain.build import actions, kits, run_ends
from domain.build.choices import Isolates
from domain.build.edits import Edit, RemoveRecord
from domain.build.records import Build, Run
from domain.evaluate import evaluate
from domain.findings import Level
from domain.work_order import work_order
from tests.domain.electrical.small import Change, changed, found, small_build


class Case(NamedTuple):
    """A wrong combination, what is said of it with which figure, and its sound neighbour."""

    name: str
    wrong: Callable[[], Build]
    code: str
    level: Level
    figure: str
    right: Callable[[], Build]


def with_(build: Build, *edits: Edit) -> Build:
    return actions.applied(build, *edits)


def linked(*changes: Change) -> Build:
    """A second battery on a plain link."""
    build = small_build()
    return changed(with_(build, actions.add(build, "batteries")), *changes)


def behind(isolates: Isolates, *changes: Change) -> Build:
    """A second battery b2 behind an isolator d2: r9 leads into it, r7 out of it."""
    build = small_build()
    return changed(with_(build, kits.battery_behind(build, isolates)), *changes)


def banked(*changes: Change) -> Build:
    """Four LiFePO4 batteries of 100 Ah on the main block, behind a relay."""
    build = small_build()
    return changed(with_(build, kits.bank_in_the_boot(build)), *changes)


def big(*changes: Change) -> Build:
    """A bank, on an alternator of 320 A that leaves 285 A beside the vehicle's 35 A."""
    sizes: tuple[Change, ...] = (
        ("alternators", "g1", "rated_a", 320.0),
        ("alternators", "g1", "hot", True),
    )
    return banked(*sizes, *changes)


def simple(*changes: Change) -> Build:
    return changed(small_build(), *changes)


def lithium(*changes: Change) -> Build:
    """A LiFePO4 battery in the trunk, in the place of the starter battery."""
    return simple(
        ("batteries", "b1", "chemistry", "LiFePO4"), ("batteries", "b1", "zone", "z3"), *changes
    )


def all_of(build: Build, field: str, value: float) -> Build:
    """The build with this field of every battery but the first."""
    return changed(build, *(("batteries", b.id, field, value) for b in build.batteries[1:]))


def run_to(build: Build, device: str) -> Run:
    return next(run for run in build.runs if run.target == device)


def turned() -> Build:
    """A diode the wrong way round: its input at the second battery, its output at the first."""
    build = behind(Isolates.DIODE)
    return changed(build, ("runs", "r9", "source", "b2"), ("runs", "r7", "target", "b1"))


def empty_charger() -> Build:
    """The amplifier's block behind a DC-DC charger, and no battery there."""
    build = behind(Isolates.CONVERTER)
    build = changed(build, ("runs", "r7", "target", "d1"))
    return with_(build, *(_gone(run.id) for run in build.runs if run.id == "r4"))


def _gone(run: str) -> Edit:
    return RemoveRecord(table="runs", id=run)


def charger_feeds_music() -> Build:
    build = behind(Isolates.CONVERTER)
    return with_(build, run_ends.feed_from(build, "r4", "b2"))


def alternators(volts: float) -> Build:
    build = small_build()
    build = with_(build, actions.add(build, "alternators"))
    return changed(build, ("alternators", "g2", "regulated_v", volts))


def carried(shock: float) -> Build:
    """A battery on a plate of the shop's own."""
    build = small_build()
    build = with_(build, actions.add(build, "parts", carries="b1", load_kg=20.0))
    return changed(build, ("parts", "p1", "shock_ratio", shock))


def capacitor(withstand_v: float) -> Build:
    build = small_build()
    build = with_(build, kits.capacitor(build))
    return changed(build, ("appliances", "v1", "withstand_v", withstand_v))


FLOODED: Change = ("batteries", "b2", "chemistry", "flooded")
LITHIUM_2: Change = ("batteries", "b2", "chemistry", "LiFePO4")
SMART: Change = ("header", "", "smart_alternator", True)
NEW_CABLE: tuple[Change, ...] = (("runs", "r1", "existing", False), ("runs", "r1", "gauge", None))
HIGH_AMPERES: Change = ("alternators", "g1", "rated_a", 250.0)
FUSED_CABLE: tuple[Change, ...] = (
    *NEW_CABLE,
    ("runs", "r1", "far_fused", True),
    ("runs", "r1", "far_fuse_distance_m", 0.2),
)

LETS_OUT: Change = ("batteries", "b1", "discharge_limit_a", 20.0)
LETS_OUT_MORE: Change = ("batteries", "b1", "discharge_limit_a", 150.0)


def years(first: int, second: int) -> Build:
    return linked(("batteries", "b1", "made_year", first), ("batteries", "b2", "made_year", second))


def regulated(volts: float, chemistry: str = "AGM") -> Build:
    return simple(
        ("alternators", "g1", "regulated_v", volts), ("batteries", "b1", "chemistry", chemistry)
    )


def diode(volts: float) -> Build:
    return behind(Isolates.DIODE, ("alternators", "g1", "regulated_v", volts))


def profile(volts: float) -> Build:
    return behind(Isolates.CONVERTER, ("blocks", "d2", "charge_v", volts))


def fed(charger_a: float) -> Build:
    return changed(charger_feeds_music(), ("blocks", "d2", "rated_a", charger_a))


def ungrounded() -> Build:
    build = behind(Isolates.CONVERTER)
    ground = next(r.id for r in build.runs if r.source == "d2" and r.polarity.value == "ground")
    return with_(build, _gone(ground))


def relay(join_v: float, part_v: float | None = None) -> Build:
    # an alternator that keeps its voltage at this music
    return behind(
        Isolates.RELAY,
        ("amplifiers", "a1", "channel_w", 50.0),
        ("blocks", "d2", "join_v", join_v),
        ("blocks", "d2", "part_v", part_v),
    )


def one_sided() -> Build:
    return behind(Isolates.RELAY, ("runs", "r7", "source", "b2"), ("runs", "r7", "target", "d2"))


def charger_limit(lets_in_a: float) -> Build:
    return behind(Isolates.CONVERTER, LITHIUM_2, ("batteries", "b2", "charge_limit_a", lets_in_a))


CASES = (
    # what may stand side by side
    Case(
        "LiFePO4 on a wire with AGM",
        lambda: linked(LITHIUM_2),
        "mixed-chemistry",
        Level.FIX,
        # rest voltages of full ones: 13.6 V (trade table), 12.85 V (typical)
        "rests at 13.60 V and AGM at 12.85 V",
        lambda: behind(Isolates.CONVERTER, LITHIUM_2),
    ),
    Case(
        "LiFePO4 with AGM by a switch",
        lambda: behind(Isolates.SWITCH, LITHIUM_2),
        "mixed-chemistry",
        Level.FIX,
        "12.85 V",
        lambda: behind(Isolates.SWITCH),
    ),
    Case(
        "flooded on a wire with AGM",
        lambda: linked(FLOODED),
        "lead-unlike",
        Level.NOTE,
        # US Army TM 5-3805-262-20: 12.6 V (read); typical AGM 12.85 V
        "12.60 V and 12.85 V",
        lambda: behind(Isolates.RELAY, FLOODED),
    ),
    Case(
        "a smaller beside a larger",
        lambda: banked(("batteries", "b3", "capacity_ah", 50.0)),
        "batteries-unlike",
        Level.NOTE,
        "50 Ah beside 100 Ah",
        banked,
    ),
    Case(
        "an old one beside a new one",
        lambda: years(2019, 2024),
        "batteries-ages",
        Level.NOTE,
        "5 years older",
        lambda: years(2024, 2024),
    ),
    # where it stands
    Case(
        "LiFePO4 under the hood",
        lambda: lithium(("batteries", "b1", "zone", "z1")),
        "battery-hot",
        Level.FIX,
        "140 F",
        lithium,
    ),
    Case(
        "lead beside the exhaust",
        lambda: simple(("zones", "z1", "ambient_c", 85.0)),
        # a half for every 10 K above 25 C: 0.5^6
        "battery-warm",
        Level.NOTE,
        "2% of its years",
        small_build,
    ),
    Case(
        "flooded in the trunk",
        lambda: linked(FLOODED),
        "battery-gas",
        Level.NOTE,
        # 0.05 x 6 cells x 20 mA/Ah x 70 Ah / 1000 = 0.42 m3/h (IEC 62485-2)
        "0.42 m3",
        lambda: linked(FLOODED, ("batteries", "b2", "zone", "z1")),
    ),
    Case(
        "a battery on a part for 5 g",
        lambda: carried(5.0),
        "battery-held",
        Level.NOTE,
        "under 20",
        lambda: carried(20.0),
    ),
    # the voltage that charges it
    Case(
        "a regulator that charges nothing",
        lambda: regulated(12.9),
        "no-charge",
        Level.FIX,
        "13.2 V up",
        lambda: regulated(14.2),
    ),
    Case(
        "AGM on 15.4 V",
        lambda: regulated(15.4),
        "charge-high",
        Level.FIX,
        "against 14.8 V",
        lambda: regulated(14.6),
    ),
    Case(
        "flooded on 15.6 V",
        lambda: regulated(15.6, "flooded"),
        "charge-high",
        Level.FIX,
        "against 14.8 V",
        lambda: regulated(14.7, "flooded"),
    ),
    Case(
        "LiFePO4 on 14.7 V",
        lambda: lithium(("alternators", "g1", "regulated_v", 14.7)),
        # no current flows into a full one: the whole 14.7 V are at its posts
        "charge-high",
        Level.FIX,
        "14.70 V at its posts (once it is full) against 14.6 V",
        lithium,
    ),
    Case(
        "LiFePO4 on 13.3 V",
        lambda: lithium(("alternators", "g1", "regulated_v", 13.3)),
        # 14.2 V less 0.8 V
        "charge-low",
        Level.NOTE,
        "below 13.40 V",
        lithium,
    ),
    Case(
        "a silicon diode on 14.2 V",
        lambda: behind(Isolates.DIODE),
        "charge-low",
        Level.NOTE,
        # 14.2 V less 0.7 V
        "13.50 V reach it",
        lambda: behind(Isolates.IDEAL_DIODE),
    ),
    Case(
        "a diode on 13.6 V",
        lambda: diode(13.6),
        "charge-low",
        Level.FIX,
        "12.90 V reach it",
        lambda: diode(14.4),
    ),
    Case(
        "a profile for another battery",
        lambda: profile(15.5),
        "charger-voltage",
        Level.FIX,
        "15.50 V",
        lambda: profile(14.4),
    ),
    # what charges it, and how much
    Case(
        "a diode the wrong way round",
        turned,
        "never-charged",
        Level.FIX,
        "Nothing charges",
        lambda: behind(Isolates.DIODE),
    ),
    Case(
        "a bank on 320 A",
        lambda: all_of(big(), "capacity_ah", 40.0),
        "charge-unlimited",
        # 285 A beside 4 x 40 A and 0.3 x 70 A of the starter battery: more than 1.25 x 181 A
        Level.FIX,
        "285 A are left",
        lambda: all_of(big(), "capacity_ah", 100.0),
    ),
    Case(
        "a charger smaller than the music",
        lambda: fed(3.0),
        "charger-small",
        Level.FIX,
        "while driving",
        lambda: fed(40.0),
    ),
    Case(
        "a charger with no battery",
        empty_charger,
        "charger-no-battery",
        Level.FIX,
        "40 A",
        charger_feeds_music,
    ),
    Case(
        "a charger without a ground",
        ungrounded,
        "charger-ground",
        Level.FIX,
        "no ground lead",
        lambda: behind(Isolates.CONVERTER),
    ),
    Case(
        "alternators set apart",
        lambda: alternators(13.6),
        "alternators-unlike",
        Level.NOTE,
        "13.60 V beside 14.20 V, 0.60 V apart",
        lambda: alternators(14.2),
    ),
    Case(
        "a relay on a smart alternator",
        lambda: behind(Isolates.RELAY, SMART),
        "smart-isolator",
        Level.FIX,
        "12.40 V",
        lambda: behind(Isolates.CONVERTER, SMART),
    ),
    Case(
        "a relay by voltage on a smart alternator",
        lambda: changed(relay(13.3), SMART),
        "smart-isolator",
        Level.FIX,
        "this relay joins at 13.30 V and parts at 12.80 V",
        lambda: relay(13.3),
    ),
    Case(
        "a battery wired straight to a smart alternator",
        # lowered on the road to 12.2 to 13.2 V (typical, from memory), charged from 13.2 V up
        lambda: linked(SMART),
        "charge-low",
        Level.FIX,
        "12.40 V reach it then, and below 13.20 V",
        linked,
    ),
    Case(
        "LiFePO4 behind an ideal diode on a smart alternator",
        # 15.0 V as the vehicle slows (typical, from memory), less 20 mV of an ideal diode
        lambda: behind(Isolates.IDEAL_DIODE, SMART, LITHIUM_2),
        "smart-overrun",
        Level.FIX,
        "withstands 14.60 V",
        lambda: behind(Isolates.CONVERTER, SMART, LITHIUM_2),
    ),
    Case(
        "a LiFePO4 starter battery on a smart alternator",
        lambda: lithium(SMART),
        "smart-overrun",
        Level.FIX,
        "gets 15.00 V",
        lambda: lithium(SMART, ("alternators", "g1", "high_v", 14.5)),
    ),
    Case(
        "AGM on a smart alternator that raises to 15.5 V",
        lambda: simple(SMART, ("alternators", "g1", "high_v", 15.5)),
        "smart-overrun",
        Level.NOTE,
        "gets 15.50 V",
        lambda: simple(SMART),
    ),
    Case(
        "a capacitor for 14.8 V on a smart alternator",
        lambda: changed(capacitor(14.8), SMART),
        "capacitor-voltage",
        Level.STOP,
        "15.00 V",
        lambda: capacitor(14.8),
    ),
    # isolators
    Case(
        "a relay that never joins",
        lambda: relay(14.6),
        "relay-never",
        Level.FIX,
        "14.60 V",
        lambda: relay(13.3),
    ),
    Case(
        "a relay that stays joined",
        lambda: relay(13.3, 11.5),
        "relay-stays",
        Level.NOTE,
        "parts below 11.50 V",
        lambda: relay(13.3, 12.9),
    ),
    Case(
        "all on one side of an isolator",
        one_sided,
        "isolator-one-sided",
        Level.FIX,
        "all meet at its input",
        lambda: behind(Isolates.RELAY),
    ),
    Case(
        "an isolator of 10 A",
        lambda: behind(Isolates.RELAY, ("blocks", "d2", "rated_a", 10.0)),
        "isolator-over",
        Level.STOP,
        "rated 10 A",
        lambda: behind(Isolates.RELAY),
    ),
    # its own protection, as entered
    Case(
        "more drawn than it lets out",
        lambda: lithium(LETS_OUT),
        "battery-discharge",
        Level.FIX,
        "lets out 20 A",
        lambda: lithium(LETS_OUT_MORE),
    ),
    Case(
        "more given than it lets in",
        lambda: all_of(big(), "charge_limit_a", 50.0),
        # 285 A over four alike ones: 71.25 A
        "battery-charge",
        Level.FIX,
        "gets 71.3 A",
        lambda: all_of(big(), "charge_limit_a", 80.0),
    ),
    Case(
        "a charger larger than it lets in",
        lambda: charger_limit(20.0),
        "battery-charge",
        Level.FIX,
        "takes 20 A",
        lambda: charger_limit(40.0),
    ),
    Case(
        "hotter than its protection",
        lambda: lithium(("batteries", "b1", "hottest_c", 45.0)),
        # the trunk's 50 C
        "battery-hot",
        Level.FIX,
        "122 F",
        lambda: lithium(("batteries", "b1", "hottest_c", 60)),
    ),
    Case(
        "too hot to charge",
        lambda: lithium(("batteries", "b1", "charge_hottest_c", 45.0)),
        "battery-hot-charge",
        Level.NOTE,
        "above 113 F",
        lambda: lithium(("batteries", "b1", "charge_hottest_c", 55.0)),
    ),
    Case(
        "starting through a board",
        lambda: lithium(LETS_OUT_MORE),
        "battery-starts",
        # 13.26 V at 80 % over 0.8 / 70 + 0.05 ohm: 216 A
        Level.NOTE,
        "216 A",
        lambda: lithium(("batteries", "b1", "discharge_limit_a", 300.0)),
    ),
    # wire of large sources, and what bursts
    Case(
        "a new charge cable without a fuse",
        lambda: simple(*NEW_CABLE, HIGH_AMPERES),
        "no-fuse",
        Level.FIX,
        "no fuse protects",
        lambda: simple(*FUSED_CABLE, HIGH_AMPERES),
    ),
    Case(
        "the maker's charge cable on 250 A",
        lambda: simple(HIGH_AMPERES),
        "no-fuse",
        Level.STOP,
        "4 AWG",
        small_build,
    ),
    Case(
        "a capacitor for 12 V",
        lambda: capacitor(12.0),
        "capacitor-voltage",
        Level.STOP,
        "12.00 V",
        lambda: capacitor(18.0),
    ),
)


@pytest.mark.parametrize("case", CASES, ids=[case.name for case in CASES])
def test_it_is_told_with_its_figure_and_its_neighbour_is_not(case: Case) -> None:
    told = found(case.wrong(), case.code)
    assert told, case.code
    assert told[0].level is case.level
    assert case.figure in f"{told[0].what}; {told[0].why}"
    assert told[0].do
    assert told[0].source
    assert not found(case.right(), case.code)


def steps(build: Build) -> list[str]:
    return [step.what for step in work_order(build, evaluate(build))]


def test_batteries_on_one_wire_are_matched_before_the_first_fuse_between_them() -> None:
    # 0.05 V for LiFePO4 (a maker's guide, read); 0.5 V for lead (common practice)
    lithium_bank = steps(banked())
    (at,) = (i for i, step in enumerate(lithium_bank) if "within 0.05 V of each other" in step)
    assert lithium_bank[at].startswith("Bank 1, Bank 2, Bank 3 and Bank 4: charge each full")
    fuses = [i for i, step in enumerate(lithium_bank) if ": put in " in step]
    assert at < min(fuses)
    # each lead of the bank is metered across its empty holder, at its own post too
    for run in banked().runs:
        if run.name.endswith("lead"):
            own = [step for step in lithium_bank if f"({run.id}): put in" in step]
            assert len(own) == 2
            assert all("First meter across the empty holder" in step for step in own)
    lead = [step for step in steps(linked()) if "within 0.5 V of each other before" in step]
    assert len(lead) == 1
    # the run that joins no two batteries is proved by what stands behind it
    (main,) = (step for step in steps(linked()) if "(r4): put in" in step)
    assert "the same as" in main
    assert not [s for s in steps(behind(Isolates.RELAY)) if "of each other before" in s]


def test_a_battery_is_held_for_a_crash_and_cold_is_told_at_the_end() -> None:
    # 20 g: restraint of loads in vehicles, 20 to 28 g (from memory); 0 C: LiFePO4 pack sheets
    build = banked(("batteries", "b2", "charge_coldest_c", 0.0))
    said = steps(build)
    assert sum("stay put under 20 times its weight" in step for step in said) == 4
    (cold,) = (step for step in said if "is not charged below 32 F" in step)
    assert cold.startswith("Bank 1")
    assert not [step for step in steps(banked()) if "is not charged below" in step]
