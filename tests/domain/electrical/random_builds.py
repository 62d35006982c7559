"""Random builds, made the way a person makes them: by actions and edits from a new build."""

from random import Random

from hypothesis import strategies as st

from domain.build import actions, removal, run_ends
from domain.build.choices import BlockKind, UnitHabit
from domain.build.edits import Edit, EditRefused, SetField, apply
from domain.build.records import TABLES, Build
from domain.build.start import start_build
from domain.document.records import records

SENSIBLE: dict[str, dict[str, tuple[object, ...]]] = {
    "header": {
        "wire_sizes": ("AWG", "mm2"),
        "programme": ("music", "bass", "tone"),
        "drop_limit_v": (0.3, 0.7, 2.0, 6.0),
    },
    "zones": {"ambient_c": (-20.0, 30.0, 50.0, 60.0, 85.0)},
    "batteries": {
        "chemistry": ("flooded", "AGM", "LiFePO4"),
        "capacity_ah": (18.0, 70.0, 200.0),
        "cranking_a": (None, 300.0, 900.0),
        "resistance_ohm": (None, 0.002, 0.03),
        "made_year": (None, 2019, 2024),
        "discharge_limit_a": (None, 50.0, 200.0),
        "charge_limit_a": (None, 20.0, 100.0),
        "hottest_c": (None, 60.0),
        "charge_hottest_c": (None, 45.0),
        "charge_coldest_c": (None, 0.0),
    },
    "alternators": {
        "rated_a": (0.0, 60.0, 120.0, 240.0),
        "idle_a": (None, 30.0),
        "regulated_v": (13.6, 14.2, 14.8),
        "vehicle_load_a": (0.0, 35.0, 60.0),
    },
    "amplifiers": {
        "channels": (1, 2, 4),
        "channel_w": (0.0, 50.0, 150.0, 500.0, 1500.0),
        "amplifier_class": ("AB", "D", "G/H"),
        "efficiency": (None, 0.5, 0.9),
        "regulated": (True, False),
        "onboard_fuse_a": (None, 25.0, 80.0),
        "lowest_v": (9.0, 10.0, 11.5),
        "idle_a": (0.0, 1.0),
        "largest_wire": ("AWG 8", "AWG 4", "AWG 1/0", "16 mm2"),
    },
    "appliances": {
        "kind": (
            *("constant power", "constant current", "like a resistor"),
            *("inverter", "capacitor"),
        ),
        "capacitance_f": (None, 2.0, 500.0),
        "power_w": (0.0, 60.0, 400.0, 1500.0),
        "rated_v": (12.0, 13.8),
        "works": ("always", "with the ignition", "with the music"),
        "duty": (0.0, 0.4, 1.0),
        "efficiency": (None, 0.85),
        "idle_a": (0.0, 0.7),
        "lowest_v": (9.5, 11.0),
        "onboard_fuse_a": (None, 30.0),
        "largest_wire": ("AWG 10", "AWG 2"),
    },
    "blocks": {
        "places": (2, 4, 8),
        "largest_out": ("AWG 8", "AWG 4", "AWG 1/0"),
        "isolates": (None, "relay", "switch", "diode", "ideal diode", "DC-DC charger"),
        "rated_a": (None, 30.0, 140.0),
        "peak_a": (None, 60.0, 400.0),
        "charge_v": (None, 13.8, 14.6),
        "input_a": (None, 15.0, 60.0),
        "efficiency": (None, 0.85),
    },
    "grounds": {
        "surface": ("bare metal", "plated stud", "painted", "unknown"),
        "resistance_ohm": (None, 0.0, 0.0004, 0.01),
    },
    "runs": {
        "length_m": (None, 0.3, 1.0, 4.5, 8.0),
        "gauge": (None, None, "AWG 8", "AWG 4", "AWG 1/0", "25 mm2", "AWG 20"),
        "metal": ("copper", "tinned copper", "copper-clad aluminium"),
        "insulation": ("60 C", "80 C", "105 C"),
        "count": (1, 1, 1, 2, 3),
        "loom": ("", "Sill", "sill ", "Door"),
        "bundle": (None, None, 1, 3),
        "cover": (None, None, "open air", "tube", "carpet"),
        "fused": (True, False),
        "far_fused": (False, True),
        "fuse_a": (None, None, 30.0, 100.0, 200.0),
        "fuse_family": (None, "strip SF 51", "blade C (medium)"),
        "fuse_distance_m": (None, 0.0, 0.4572, 2.0),
        "existing": (False, True),
    },
}
"""Values that a bay sees, by table and field."""

NEWER: dict[str, dict[str, tuple[object, ...]]] = {
    "header": {
        "smart_alternator": (False, True),
        "drive": ("combustion", "hybrid", "electric"),
        "average_level": (None, 0.05, 0.3),
    },
    "alternators": {
        "smart": (None, True, False),
        "low_v": (None, 12.2, 13.0),
        "high_v": (None, 14.8, 15.5),
    },
    "blocks": {
        "kind": ("bus bar",),
        "join_v": (None, 13.3, 13.7, 15.0),
        "part_v": (None, 11.5, 12.8, 14.0),
        "join_s": (None, 0.0, 60.0),
        "part_s": (None, 0.0, 25.0),
        "bar_width_m": (None, 0.012, 0.05),
        "bar_thick_m": (None, 0.003, 0.01),
    },
    "runs": {
        "fuse_family": ("breaker", "ANL", "AGU (glass)"),
        "breaks_a": (None, 500.0, 6000.0),
        "resets": ("by hand", "by itself"),
    },
    "remotes": {
        "kind": ("head unit", "ignition circuit", "hand switch"),
        "limit_a": (None, 0.1, 1.0),
        "relay": (None, True, False),
        "feed_m": (None, 1.5),
        "coil_m": (None, 3.0),
    },
    "leads": {
        "kind": ("remote", "signal", "loudspeaker"),
        "count": (1, 4),
        "length_m": (None, 0.5, 6.0),
        "gauge": (None, "AWG 16", "1.5 mm2"),
        "draws_a": (None, 0.02, 2.0),
    },
}
"""Values that are drawn last, so that all else stays as it was drawn before there were any."""

EXTREME: dict[str, dict[str, tuple[object, ...]]] = {
    "header": {"drop_limit_v": (1e-9, 6.0), "average_level": (1e-6, 1.0)},
    "zones": {"ambient_c": (-40.0, 200.0)},
    "batteries": {"capacity_ah": (0.5, 5000.0), "resistance_ohm": (1e-6, 1.0)},
    "alternators": {"rated_a": (0.0, 1000.0), "regulated_v": (11.01, 16.0)},
    "amplifiers": {
        "channels": (16,),
        "channel_w": (1e-6, 20000.0),
        "idle_a": (0.0, 50.0),
        "efficiency": (0.0501, 0.99),
        "lowest_v": (4.01, 14.0),
        "largest_wire": ("AWG 24", "AWG 4/0", "0.5 mm2", "120 mm2"),
    },
    "appliances": {"power_w": (1e-6, 20000.0), "idle_a": (50.0,), "lowest_v": (4.01, 14.0)},
    "grounds": {"resistance_ohm": (0.0, 10.0)},
    "runs": {
        "length_m": (1e-6, 100.0),
        "slack_m": (0.0, 20.0),
        "gauge": ("AWG 24", "AWG 4/0", "0.5 mm2", "120 mm2"),
        "bundle": (1, 100),
        "count": (1, 8),
        "fuse_a": (0.01, 1000.0),
        "fuse_distance_m": (0.0, 100.0),
        "far_fuse_distance_m": (0.0, 100.0),
    },
}
"""The ends of what a field takes."""

LEADS = ("remotes", "leads", "places", "sections")
"""Tables of no part of the power side: ``tests/domain/electrical/test_switching.py`` and
``tests/domain/routes/vehicles.py`` draw them."""

DEVICES = ("batteries", "alternators", "amplifiers", "appliances", "blocks", "grounds")


def random_build(random: Random, steps: int, extreme: bool = False) -> Build:
    """A build after this many random actions; refused ones count too.

    It is metric and its first block is one that is at hand; an extreme build is in inches, and its
    first block takes what its wires ask for.
    """
    build = start_build(units=UnitHabit.INCH if extreme else UnitHabit.METRIC)
    if not extreme:
        for field, gauge in (("largest_in", "AWG 1/0"), ("largest_out", "AWG 4")):
            build, _ = apply(build, SetField(table="blocks", id="d1", field=field, value=gauge))
    for _ in range(steps):
        build = edited(build, random, extreme)
    for _ in range(steps // 4):
        try:
            build, _ = apply(build, _value(build, random, NEWER))
        except EditRefused:
            continue
    return build


def edited(build: Build, random: Random, extreme: bool = False) -> Build:
    """A build after one more random action, or as it was where that is refused."""
    try:
        return apply(build, _random_edit(build, random, extreme))[0]
    except EditRefused:
        return build


def _random_edit(build: Build, random: Random, extreme: bool) -> Edit:
    what = random.random()
    if what < 0.25:
        return actions.add(build, "amplifiers" if what < 0.17 else "appliances")
    if what < 0.4:
        table = random.choice(["batteries", "blocks", "grounds", "zones", "alternators"])
        kind = {"kind": random.choice(["distribution", "ground", "isolator"])}
        return actions.add(build, table, **(kind if table == "blocks" else {}))
    ids = [record.id for table in DEVICES for record in records(build, table)]
    if what < 0.5 and ids:
        return run_ends.add_run(build, random.choice(ids), random.choice(ids))
    if what < 0.55 and build.runs and ids:
        return run_ends.feed_from(build, random.choice(build.runs).id, random.choice(ids))
    if what < 0.6:
        table = random.choice([each for each in TABLES if each not in LEADS])
        rows = records(build, table)
        if rows and random.random() < (1.0 if extreme else 0.4):
            return removal.remove(build, table, random.choice(rows).id)
    if what < 0.63 and build.runs and extreme:
        field = random.choice(["source", "target"])
        value = random.choice(["", *ids])
        return SetField(table="runs", id=random.choice(build.runs).id, field=field, value=value)
    return _random_value(build, random, extreme)


def _random_value(build: Build, random: Random, extreme: bool) -> Edit:
    return _value(build, random, EXTREME if extreme and random.random() < 0.3 else SENSIBLE)


def _value(build: Build, random: Random, values: dict[str, dict[str, tuple[object, ...]]]) -> Edit:
    table = random.choice(list(values))
    field = random.choice(list(values[table]))
    value = random.choice(values[table][field])
    assert value is None or isinstance(value, str | int | float)
    if table == "header":
        return SetField(table=table, field=field, value=value)
    rows = records(build, table)
    if field == "kind" and table == "blocks":
        rows = tuple(b for b in build.blocks if b.kind is BlockKind.DISTRIBUTION)
    if not rows:
        raise EditRefused("there is nothing to change")
    return SetField(table=table, id=random.choice(rows).id, field=field, value=value)


def builds(extreme: bool = False, most: int = 30) -> st.SearchStrategy[Build]:
    """Hypothesis strategy of random builds."""
    return st.builds(
        lambda seed, steps: random_build(Random(seed), steps, extreme),
        st.integers(0, 2**32),
        st.integers(0, most),
    )
