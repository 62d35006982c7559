"""Ten kinds of plans with something wrong that can burn, drain or mislead, and what must be said.

Each figure is from a hand calculation beside it: sums of fuses and outputs, Ohm's law, and
33 CFR 183.425 Table 5 (105 C: AWG 18 20 A, 12 45 A, 4 160 A, 2 210 A) times sqrt((105 - t)/75) for
the place's t, 0.8563 at 50 C and 0.7746 at 60 C.
"""

from collections.abc import Callable
from dataclasses import dataclass

from domain.build import actions, removal
from domain.build.edits import AddRecord, Scalar
from domain.build.records import Build
from domain.findings import Level
from tests.domain.electrical.small import Change, changed, small_build


def plan(*changes: Change) -> Build:
    """The small build with these fields set."""
    return changed(small_build(), *changes)


def with_run(build: Build, **values: Scalar) -> Build:
    """A build with one more run."""
    return actions.applied(build, AddRecord(table="runs", record=values))


def banked(*changes: Change, **link: Scalar) -> tuple[Build, str]:
    """A second battery, and the id of the link to it."""
    build = actions.applied(small_build(), actions.add(small_build(), "batteries"))
    id = next(run.id for run in build.runs if run.far_fused)
    build = changed(build, *(("runs", id, field, value) for field, value in link.items()))
    return changed(build, *changes), id


def far_branch_fuse() -> Build:
    """A 200 A main, and a 15 A fuse 2.5 m along its branch of AWG 18."""
    return plan(
        ("runs", "r4", "fuse_a", 200.0),
        ("runs", "r5", "gauge", "AWG 18"),
        ("runs", "r5", "length_m", 2.75),
        ("runs", "r5", "fuse_a", 15.0),
        ("runs", "r5", "fuse_distance_m", 2.5),
        ("amplifiers", "a1", "channel_w", 100.0),
    )


def bare_link() -> Build:
    """An old link of 5 m between two batteries, without a fuse."""
    return banked(
        fused=False, far_fused=False, existing=True, gauge="AWG 4", length_m=5.0, fuse_a=None
    )[0]


def large_link() -> Build:
    """An old link of AWG 4 with 300 A at both ends."""
    return banked(existing=True, gauge="AWG 4", fuse_a=300.0, length_m=5.0)[0]


def two_feeds() -> Build:
    """Two batteries, each with 125 A, into one unfused branch of AWG 4."""
    build, link = banked()
    build = actions.applied(build, removal.remove(build, "runs", link))
    return changed(
        with_run(build, id="r30", source="b2", target="d1", fused=True, fuse_a=125.0),
        ("runs", "r4", "fuse_a", 125.0),
        ("runs", "r5", "fused", False),
        ("runs", "r5", "gauge", "AWG 4"),
        ("runs", "r5", "length_m", 2.0),
        ("runs", "r5", "cover", "open air"),
        ("amplifiers", "a1", "largest_wire", "AWG 1/0"),
    )


def alternator_on_block() -> Build:
    """A 240 A alternator on the block behind a 35 A main fuse, and AWG 12 behind both."""
    return plan(
        ("alternators", "g1", "rated_a", 240.0),
        ("runs", "r1", "target", "d1"),
        ("runs", "r1", "existing", False),
        ("runs", "r4", "fuse_a", 35.0),
        ("runs", "r4", "gauge", "AWG 12"),
        ("runs", "r5", "gauge", "AWG 12"),
        ("runs", "r5", "fused", False),
        ("runs", "r5", "length_m", 2.0),
        ("runs", "r5", "cover", "open air"),
    )


def thin_battery_ground() -> Build:
    """A battery ground of AWG 2 under a 300 A main fuse."""
    return plan(
        ("runs", "r4", "fuse_a", 300.0),
        ("runs", "r4", "gauge", "AWG 4/0"),
        ("runs", "r5", "fuse_a", 80.0),
    )


def thin_block_ground(gauge: str = "AWG 4") -> Build:
    """The cable of a ground block beside the main block, which a 200 A fuse feeds."""
    build = actions.applied(small_build(), actions.add(small_build(), "blocks", kind="ground"))
    cable: dict[str, Scalar] = {"polarity": "ground", "source": build.blocks[-1].id, "target": "e2"}
    return changed(
        with_run(build, id="r20", zone="z3", length_m=0.3, gauge=gauge, **cable),
        ("runs", "r6", "target", build.blocks[-1].id),
        ("runs", "r4", "fuse_a", 200.0),
        ("runs", "r4", "gauge", "AWG 4/0"),
        ("runs", "r3", "gauge", "AWG 4/0"),
    )


def _strip_main(*changes: Change) -> Build:
    return plan(
        ("runs", "r4", "fuse_family", "strip SF 51"), ("runs", "r4", "fuse_a", 150.0), *changes
    )


@dataclass(frozen=True)
class Danger:
    """What must be said of a plan: level, code, record, figures in words, amperes by hand."""

    build: Callable[[], Build]
    level: Level
    code: str
    id: str
    says: tuple[str, ...]
    about_a: float | None = None


LINK = banked()[1]

DANGERS = {
    # 200 A of the main fuse into AWG 18 at 50 C: 20 x 0.8563 = 17.1 A
    "branch fuse far along its wire": Danger(
        far_branch_fuse, Level.STOP, "fuse-far", "r5", ("8 ft 2.4 in", "200 A", "17.1 A")
    ),
    "old link without a fuse": Danger(bare_link, Level.STOP, "no-fuse", LINK, ()),
    # AWG 4 at 60 C: 160 x 0.7746 = 124 A; 300 / 124 = 242 %
    "old link, fuses too large": Danger(
        large_link, Level.STOP, "fuse-over-wire", LINK, ("300 A", "124 A", "242%")
    ),
    # 125 + 125 A; AWG 4 at 50 C: 160 x 0.8563 = 137 A; 250 / 137 = 182 %
    "two batteries into one feeder": Danger(
        two_feeds, Level.STOP, "fuse-over-wire", "r5", ("250 A", "137 A", "182%")
    ),
    # 240 + 35 A; AWG 12 at 50 C: 45 x 0.8563 = 38.5 A; 275 / 38.5 = 714 %
    "alternator behind the main fuse": Danger(
        alternator_on_block, Level.STOP, "fuse-over-wire", "r5", ("275 A", "38.5 A", "714%")
    ),
    # 300 A of the main fuse; AWG 2 at 60 C: 210 x 0.7746 = 163 A
    "battery ground too thin": Danger(
        thin_battery_ground, Level.STOP, "ground-overload", "r3", ("300 A", "163 A")
    ),
    # 200 A of the main fuse; AWG 4: 137 A, to its limit 137 x sqrt((160 - 50)/(105 - 50)) = 194
    "ground block's cable too thin": Danger(
        thin_block_ground, Level.STOP, "ground-overload", "r20", ("200 A", "137 A", "194 A")
    ),
    # by cranking amperes at least 2.4 V / 900 = 2.667 mohm, 12.85 V of a full AGM (typical); its
    # ground 0.244 of AWG 2 at 64 C and 0.3 of joints, body 0.3, a foot of AWG 2 and its joint
    # 0.183 + 0.15: 12.85 V / 3.844 mohm = 3340 A, and 120 A of the alternator
    "more than the main fuse breaks": Danger(
        lambda: _strip_main(("batteries", "b1", "cranking_a", 900.0)),
        *(Level.FIX, "fuse-breaking", "r4", ("2000 A",), 3460.0),
    ),
    # a LiFePO4 battery at least 0.3 ohm Ah / 100 Ah = 3 mohm, 13.6 V full (typical), the rest as
    # above at 54 C: 13.6 V / 4.163 mohm = 3270 A, and 120 A
    "a battery at its least resistance": Danger(
        lambda: _strip_main(
            ("batteries", "b1", "chemistry", "LiFePO4"),
            ("batteries", "b1", "capacity_ah", 100.0),
            ("batteries", "b1", "cranking_a", None),
            ("zones", "z1", "ambient_c", 50.0),
        ),
        *(Level.FIX, "fuse-breaking", "r4", ("2000 A",), 3390.0),
    ),
    "old cable of unknown gauge": Danger(
        lambda: plan(("runs", "r4", "existing", True), ("runs", "r4", "gauge", None)),
        *(Level.FIX, "gauge-unknown", "r4", ()),
    ),
    # 4000 x pi / 4 x 0.25^2 = 196.3 mm2; AWG 8 is 8.37 mm2
    "strands that cannot be": Danger(
        lambda: plan(
            ("runs", "r4", "gauge", "AWG 8"),
            ("runs", "r4", "strands", 4000),
            ("runs", "r4", "strand_m", 0.00025),
            ("runs", "r4", "fuse_a", 60.0),
        ),
        *(Level.FIX, "wire-strands", "r4", ("196.3 mm2", "8.4 mm2")),
    ),
    # 4 cells of 3.65 V
    "a regulator too high for LiFePO4": Danger(
        lambda: plan(
            ("batteries", "b1", "chemistry", "LiFePO4"), ("alternators", "g1", "regulated_v", 15.6)
        ),
        *(Level.FIX, "charge-high", "b1", ("14.6 V",)),
    ),
    "LiFePO4 joined to lead-acid": Danger(
        lambda: banked(("batteries", "b2", "chemistry", "LiFePO4"))[0],
        *(Level.FIX, "mixed-chemistry", "b2", ()),
    ),
}
"""By what is wrong; the ten kinds, some of them with two plans."""
