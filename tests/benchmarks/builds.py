"""Builds of a known size for the benchmarks, made by the edits that a person makes."""

from domain.build.actions import add, add_amplifier, applied
from domain.build.choices import UnitHabit
from domain.build.edits import Edit, Scalar, SetField, apply
from domain.build.records import Build, Run
from domain.build.run_ends import add_run, feed_from
from domain.build.start import start_build
from domain.fabrication.presets import preset


def _kinds(share: float) -> tuple[dict[str, Scalar], ...]:
    """What amplifiers are like, in turn; ``share`` scales their power so that the supply holds."""
    return (
        {"name": "Front", "channels": 4, "channel_w": 75 * share, "amplifier_class": "AB"},
        {"name": "Rear", "channels": 4, "channel_w": 75 * share},
        {"name": "Bass", "channels": 1, "channel_w": 600 * share},
        {
            "name": "Five",
            "channels": 4,
            "channel_w": 60 * share,
            "sub_channels": 1,
            "sub_channel_w": 300 * share,
        },
    )


def three() -> Build:
    """Three amplifiers on the one block of a new build, every new length measured."""
    build = start_build("Three amplifiers")
    for number in range(3):
        build = _with_amplifier(build, number, "d1", "e2", 1.0)
    return _measured(build)


def twelve() -> Build:
    """Twelve amplifiers as a large build has them, every length measured, some sizes pinned.

    Two batteries, three blocks (two near the main battery's block, one at the second battery) and
    four ground points.
    """
    build = start_build("Twelve amplifiers", UnitHabit.METRIC)
    for name, zone in (("Left ground", "z2"), ("Right ground", "z2")):
        build = _with(build, add(build, "grounds", name=name, zone=zone))
    build = _with(build, add(build, "batteries", name="Second battery", zone="z3"))
    sizes: dict[str, Scalar] = {"largest_in": "AWG 2/0", "largest_out": "AWG 1/0", "places": 6}
    for field, size in sizes.items():
        build = _with(build, SetField(table="blocks", id="d1", field=field, value=size))
    for name in ("Left block", "Right block"):
        build = _with(build, add(build, "blocks", name=name, zone="z3", **sizes))
    build = _with(build, add_run(build, "d1", "d2", fused=True, fuse_distance_m=0.0))
    build = _with(build, add_run(build, "b2", "d3", fused=True, fuse_distance_m=0.2))
    for number in range(12):
        block, ground = (("d1", "e2"), ("d2", "e3"), ("d3", "e4"))[number % 3]
        build = _with_amplifier(build, number, block, ground, 0.5)
    build = _measured(build)
    main = next(run for run in build.runs if run.name == "Main run")
    return _with(
        build,
        SetField(table="runs", id=main.id, field="gauge", value="AWG 2/0"),
        SetField(table="runs", id=main.id, field="fuse_a", value=200.0),
        SetField(table="batteries", id="b2", field="resistance_ohm", value=0.0035),
    )


def bracket() -> Build:
    """Three amplifiers, and an L bracket that carries a kilogram and a half."""
    build = three()
    return _with(build, preset(build, "L", load_kg=1.5, zone="z3"))


def large_part(turn: int = 0) -> Build:
    """A folded part of eight panels with 200 holes, a device on the last, six screws in the first;
    one hole elsewhere at each turn.
    """
    panels: list[dict[str, object]] = [
        {"id": "n1", "part": "p1", "length_m": 0.3, "width_m": 0.4},
        *(
            {
                "id": f"n{k}",
                "part": "p1",
                "joins": f"n{k - 1}",
                "length_m": 0.12,
                "width_m": 0.4,
                "bend_radius_m": 0.003,
                "up": bool(k % 2),
            }
            for k in range(2, 9)
        ),
    ]
    holes: list[dict[str, object]] = []
    for number in range(200):
        row, column = divmod(number // 8, 13)
        screw = number % 8 == 0 and number // 8 in (0, 6, 12, 13, 19, 24)
        high = 0.3 if number % 8 == 0 else 0.12
        holes.append(
            {
                "id": f"h{number + 1}",
                "panel": f"n{number % 8 + 1}",
                "x_m": 0.02 + 0.03 * column + (1e-5 * turn if number == 5 else 0.0),
                "y_m": 0.03 + (high - 0.06) * row,
                "diameter_m": 0.004,
                "kind": "clearance" if screw else "plain",
                "thread": "M4" if screw else "",
            }
        )
    feet = {"id": "f1", "name": "Device", "mass_kg": 1.5, "length_m": 0.1, "width_m": 0.08}
    studs = [
        {"id": f"u{k}", "footprint": "f1", "x_m": x, "y_m": y}
        for k, (x, y) in enumerate(((0.01, 0.01), (0.09, 0.01), (0.01, 0.07), (0.09, 0.07)), 1)
    ]
    return Build.of(
        {
            "parts": [{"id": "p1", "material": "aluminium 5052-H32", "thickness_m": 0.003}],
            "panels": panels,
            "holes": holes,
            "footprints": [feet],
            "studs": studs,
            "mounts": [{"id": "o1", "footprint": "f1", "panel": "n8", "x_m": 0.2, "y_m": 0.06}],
        }
    )


def sixty_four() -> Build:
    """Sixty-four amplifiers on sixteen blocks, each block on its own run from the first."""
    build = start_build("Sixty-four amplifiers")
    build = _with(build, SetField(table="blocks", id="d1", field="places", value=20))
    blocks = []
    for number in range(16):
        build = _with(build, add(build, "blocks", name=f"Block {number + 2}", zone="z3"))
        blocks.append(build.blocks[-1].id)
        build = _with(build, add_run(build, "d1", blocks[-1], fused=True, fuse_distance_m=0.0))
    for number in range(64):
        build = _with_amplifier(build, number, blocks[number % 16], "e2", 0.06)
    return _measured(build)


def with_main_length(build: Build, length_m: float) -> Build:
    """The build with another length of its main run [m], as after an edit."""
    main = next(run for run in build.runs if run.name == "Main run")
    return _with(build, SetField(table="runs", id=main.id, field="length_m", value=length_m))


def _with(build: Build, *edits: Edit) -> Build:
    return applied(build, *edits)


def _with_amplifier(build: Build, number: int, block: str, ground: str, share: float) -> Build:
    kinds = _kinds(share)
    values = dict(kinds[number % len(kinds)])
    values["name"] = f"{values['name']} {number + 1}"
    build, _ = apply(build, add_amplifier(build, **values))
    feed, back = build.runs[-2:]
    if feed.source != block:
        build = _with(build, feed_from(build, feed.id, block))
    if back.target != ground:
        build = _with(build, SetField(table="runs", id=back.id, field="target", value=ground))
    return build


def _measured(build: Build) -> Build:
    return _with(
        build,
        *(
            SetField(table="runs", id=run.id, field="length_m", value=_length_m(run))
            for run in build.runs
            if not run.existing
        ),
    )


def _length_m(run: Run) -> float:
    """A length that differs from run to run; main runs are long, branches and grounds short [m]."""
    if run.length_m is not None:
        return run.length_m
    return (4.0 if run.source.startswith("b") else 0.5) + 0.05 * (int(run.id[1:]) % 17)
