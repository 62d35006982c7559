"""The kick drum in words."""

from msgspec.structs import replace

from demo_db.load import demo_builds
from domain.electrical.transient.results import (
    Condition,
    Dip,
    KickStudy,
    Share,
    Spread,
    Tried,
)
from domain.evaluate import make_plan
from domain.topics.kick.answer import about, answer, at_amplifier, at_lamps, causes, volts
from domain.topics.tables import Subject

ESTATE = make_plan(dict(demo_builds())["estate_car"])
SUBJECT = Subject(ESTATE.build, ESTATE.sheet)


def tried(remedy: str, drop: float, left: tuple[float, float, float], seen: float) -> Tried:
    """A remedy that leaves a drop at the lamps [V], shares of it and times noticed."""
    dip = Dip(Spread(drop, drop * 0.94, drop * 1.3), 13.8, 13.8 - drop, 0.1)
    amplifier = Dip(Spread(0.74, 0.7, 0.8), 13.6, 12.86, 0.1)
    whole = Spread(*left)
    return Tried(remedy, True, dip, amplifier, whole, whole, Spread(seen, seen, seen), (), ())


SHARE = Share(0.85, 0.18, -0.02, -0.01, 0.97, 0.02, 0.01)
AS_IT_IS = tried("none", 0.29, (1, 1, 1), 3.5)


def study(*others: Tried, plain: Tried = AS_IT_IS, engine: str = "idle") -> KickStudy:
    condition = Condition(engine, (plain, *others), SHARE, SHARE, ())
    return KickStudy(("a2",), "a2", 1000.0, (condition,))


def test_the_answer_names_the_best_and_what_does_nothing() -> None:
    said = answer(
        SUBJECT,
        study(
            tried("capacitor", 0.285, (0.98, 0.96, 0.99), 3.2),
            tried("battery", 0.097, (0.34, 0.32, 0.36), 1.2),
            tried("wires", 0.284, (0.98, 0.97, 0.99), 3.4),
        ),
    )
    assert said == (
        "With every kick your lamps drop about 0.3 V (0.27 to 0.38) at idle and visibly dim; one "
        "more battery in the back leaves 0.1 V, a 1 F capacitor and wires a size thicker leave "
        "nearly all of it."
    )


def test_what_differs_from_car_to_car_is_said() -> None:
    said = answer(SUBJECT, study(tried("capacitor", 0.2, (0.7, 0.5, 0.95), 2.0)))
    assert "a 1 F capacitor leaves 0.2 V (50 to 95 % of it, from car to car)" in said


def test_what_nobody_sees_needs_nothing() -> None:
    seldom = replace(AS_IT_IS, noticed=Spread(0.5, 0.4, 0.6))
    assert answer(SUBJECT, study(plain=seldom)).endswith("at idle, which nobody sees.")
    barely = replace(AS_IT_IS, noticed=Spread(1.0, 0.9, 1.2))
    assert "barely visibly dim" in answer(SUBJECT, study(plain=barely))
    none = tried("none", 0.0001, (1, 1, 1), 0.0)
    assert "do not dim" in answer(SUBJECT, study(plain=none))
    off = answer(SUBJECT, study(plain=seldom, engine="off"))
    assert "with the engine off, which" in off


def test_the_lamps_lowest_voltage_and_when_it_is_back() -> None:
    assert at_lamps(SUBJECT, study()) == (
        "The lamps fall from 13.80 V to 13.51 V, back 0.10 s after the hit began."
    )
    slow = replace(AS_IT_IS, lamps=replace(AS_IT_IS.lamps, recovers_s=None))
    assert at_lamps(SUBJECT, study(plain=slow)).endswith("not back before the next hit.")
    assert at_lamps(SUBJECT, study(plain=tried("none", 0.0001, (1, 1, 1), 0.0))) == ""
    assert at_lamps(SUBJECT, study(plain=replace(AS_IT_IS, carried=False))) == ""


def test_a_collapse_is_said_as_one() -> None:
    fails = replace(AS_IT_IS, carried=False)
    assert "cannot carry" in answer(SUBJECT, study(plain=fails))
    assert at_amplifier(SUBJECT, study(plain=fails)) == ""
    assert "not known" in answer(SUBJECT, replace(study(), conditions=()))


def test_amplifier_and_causes() -> None:
    assert at_amplifier(SUBJECT, study()) == "Bass amp falls by 0.7 V (0.70 to 0.80) to 12.86 V."
    low = replace(AS_IT_IS, amplifier=replace(AS_IT_IS.amplifier, lowest_v=9.5))
    assert "below its cutoff of 10.00 V" in at_amplifier(SUBJECT, study(plain=low))
    assert list(causes(SUBJECT, study())) == [
        "Dip at lamps: battery 85 %, wires 18 %, alternator -2 %, capacitors -1 %.",
        "Dip at Bass amp: battery 85 %, wires 18 %, alternator -2 %, capacitors -1 %.",
        "The current of a hit comes from the batteries (97 %), the alternator (2 %) and "
        "capacitors (1 %).",
    ]


def test_volts_have_no_decimal_too_many() -> None:
    assert [volts(v) for v in (0.288, 0.098, 0.094, 0.046, 1.44)] == [
        "0.3 V",
        "0.1 V",
        "0.09 V",
        "0.05 V",
        "1.4 V",
    ]


def test_a_rounded_figure_stays_inside_its_spread() -> None:
    assert about(Spread(0.138, 0.12, 0.18)) == "0.14 V"
    assert about(Spread(0.288, 0.24, 0.37)) == "0.3 V"


def test_all_volts_of_a_sentence_are_rounded_alike() -> None:
    # what is left needs two decimals, so what it is left of has them too
    battery = tried("battery", 0.08, (0.28, 0.25, 0.3), 0.9)
    assert "drop about 0.29 V" in answer(SUBJECT, study(battery))
    assert "leaves 0.08 V" in answer(SUBJECT, study(battery))
    # and two that differ do not read alike: 0.29 and 0.25 would both be 0.3
    said = answer(SUBJECT, study(tried("capacitor", 0.25, (0.86, 0.8, 0.9), 3.0)))
    assert "drop about 0.29 V" in said
    assert "leaves 0.25 V" in said


def test_nearly_all_is_said_of_the_whole_spread() -> None:
    # nine draws of ten leave more than nine tenths, one leaves 0.7: that is a difference in some
    # cars, and is said
    some = tried("capacitor", 0.285, (0.97, 0.95, 0.99), 3.3)
    some = replace(some, whole_left=Spread(0.97, 0.7, 0.99))
    said = answer(SUBJECT, study(tried("battery", 0.097, (0.34, 0.32, 0.36), 1.2), some))
    assert "a 1 F capacitor leaves nearly all of it (70 to 99 %, from car to car)" in said
    # where it typically leaves a part, that is told in volts
    part = replace(tried("capacitor", 0.24, (0.83, 0.7, 0.95), 3.0))
    said = answer(SUBJECT, study(tried("battery", 0.097, (0.34, 0.32, 0.36), 1.2), part))
    assert "a 1 F capacitor leaves 0.24 V (70 to 95 % of it, from car to car)" in said


def test_a_rival_of_the_best_is_named() -> None:
    both = study(
        tried("battery", 0.097, (0.34, 0.32, 0.36), 1.2),
        tried("capacitor", 0.2, (0.7, 0.2, 0.95), 2.0),
    )
    (condition,) = both.conditions
    said = answer(SUBJECT, replace(both, conditions=(replace(condition, rivals=("capacitor",)),)))
    assert "leaves 0.1 V (in some cars a 1 F capacitor leaves less)" in said


def test_what_makes_it_worse_is_not_said_to_leave_nearly_all() -> None:
    # by definition: 1.03 of a dip are more than it
    said = answer(
        SUBJECT,
        study(
            tried("battery", 0.1, (0.35, 0.3, 0.4), 1.2),
            tried("wires", 0.30, (1.03, 1.03, 1.04), 3.6),
            tried("capacitor", 0.285, (0.98, 0.97, 0.99), 3.4),
        ),
    )
    assert "wires a size thicker make it a little worse" in said
    assert "a 1 F capacitor leaves nearly all of it" in said
