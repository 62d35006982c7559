"""The sweep over shared shorts against a circuit simulator's transient analysis.

Second method: the whole uncut network as a SPICE deck, every fuse a switch that opens when the
integral of one over its slowest time is full, sources with their limits as behavioural sources;
``ngspice`` finds the moments of opening by itself. The suite takes a sample where the simulator
is installed; with ``FULL_COUNT`` in the environment it is 100 stories.
"""

import os
import re
import shutil
import subprocess
from collections.abc import Callable
from math import inf, log
from pathlib import Path
from random import Random

import pytest

from domain.build import actions, run_ends
from domain.build.edits import AddRecord
from domain.build.records import Build
from domain.electrical import sources
from domain.electrical.network.wiring import STAR
from domain.electrical.protection.any_short import Fuse
from domain.electrical.protection.circulation import Currents
from domain.electrical.protection.cut_network import CutNetwork, FuseEdge, Link
from domain.electrical.protection.fault_cases import Case, FaultNetwork, Place
from domain.electrical.protection.proofs import Proofs
from domain.electrical.protection.shared_shorts import Story, Sweep
from domain.electrical.sizing.size_and_solve import size_and_solve
from tests.domain.electrical.small import changed, small_build

NGSPICE = shutil.which("ngspice")
COUNT = 100 if "FULL_COUNT" in os.environ else 5
PATIENCE_S = 20.0
WITHIN = 0.02
"""Times of opening agree within this share; the simulator's steps are a thousandth of the story."""

HAIR_V, HAIR_A, STORED_F = 1e-3, 0.1, 1e-4
"""How far from a corner of a source's line its circuit rounds it [V], [A], and what an alternator
stores [F]: sharp corners, and a source that is left alone at once, stop the simulator."""

FULL_AT = 0.998
"""A switch opens when its integral is so full: the simulator lets it go somewhat early."""


def fed_from_several(random: Random) -> Build:
    """Two or three batteries, links or second feeds, fuses that are large for their wire."""
    build = small_build()
    for _ in range(random.randint(1, 2)):
        build = actions.applied(build, actions.add(build, "batteries"))
    links = [run.id for run in build.runs if run.far_fused]
    if random.random() < 0.5:
        feed = {"id": "r40", "source": "b2", "target": "d1", "fused": True, "length_m": 2.0}
        build = actions.applied(build, AddRecord(table="runs", record=feed))
    for link in (*links, "r4"):
        build = changed(
            build,
            ("runs", link, "gauge", random.choice(["AWG 8", "AWG 6", "AWG 4"])),
            ("runs", link, "fuse_a", random.choice([40.0, 60.0, 80.0, 100.0])),
            ("runs", link, "length_m", random.choice([1.0, 3.0, 6.0])),
        )
    return build


def past_isolators(random: Random) -> Build:
    """A further battery behind an isolator of any kind; what is fed, on either side of it."""
    build = small_build()
    build = actions.applied(build, actions.add(build, "batteries"))
    (link,) = (run.id for run in build.runs if run.far_fused)
    kind = random.choice([None, "switch", "diode", "ideal diode", "DC-DC charger"])
    rated = random.choice([20.0, 40.0]) if kind == "DC-DC charger" else None
    isolator = actions.add(build, "blocks", kind="isolator", isolates=kind, rated_a=rated)
    build = actions.applied(build, isolator)
    id = build.blocks[-1].id
    build = actions.applied(build, run_ends.feed_from(build, link, id))
    ahead = {"id": "r40", "source": "b1", "target": id, "fused": True, "length_m": 1.0}
    build = actions.applied(build, AddRecord(table="runs", record=ahead))
    if random.random() < 0.5:
        build = actions.applied(build, run_ends.feed_from(build, "r4", "b2"))
    for run in (link, "r4", "r40"):
        build = changed(
            build,
            ("runs", run, "gauge", random.choice(["AWG 8", "AWG 6", "AWG 4"])),
            ("runs", run, "fuse_a", random.choice([40.0, 60.0, 80.0])),
            ("runs", run, "length_m", random.choice([1.0, 3.0, 6.0])),
        )
    return build


def swept(build: Build) -> Sweep:
    solved = size_and_solve(build)
    sized = solved.sized
    charge = {b.id: sources.bulk_charge_a(b) for b in build.batteries}
    currents = Currents(sized.amplifier_programme_a, sized.amplifier_design_a, charge)
    proofs = Proofs(
        *(build, solved.wiring, solved.items, sized.gauge, sized.fuse_a, sized.family, currents)
    )
    return proofs.sweep(proofs.judged(False))


def name(text: str) -> str:
    """A node's name in the deck; the star point is its ground."""
    return "0" if text == STAR else "n" + re.sub(r"[^a-z0-9]", "_", text.lower())


def faulted(net: CutNetwork, place: Place) -> tuple[str, str]:
    """The two nodes of the whole network that a short at a place joins."""
    if place.name.startswith("inside "):
        load = place.name.removeprefix("inside ")
        return name(f"{load}_pos"), name(f"{load}_neg")
    if place.split:
        return "nfault", name(place.back)
    if place.through:
        outermost = place.through[0][0]
        node = next(t.node for t in net.positive.twigs if t.edge.id == outermost)
        return name(node), name(place.back)
    return name(place.at[0][0]), name(place.back)


def fuse_lines(number: int, edge: FuseEdge, fuse: Fuse, ohm: float) -> list[str]:
    """A fuse: a switch, and the integral that opens it."""
    points = [(p.ratio, p.slowest_s) for p in fuse.points if p.slowest_s < inf]
    low, (last, last_s) = points[0][0], points[-1]
    points.append((last * 1e3, last_s / 1e6))
    table = ",".join(f"{log(r):.9g},{log(t):.9g}" for r, t in points)
    ratio = f"(abs(i(vf{number}))/{fuse.rating_a:.9g}+1e-12)"
    return [
        f"vf{number} {name(edge.a)} f{number}x 0",
        f"sf{number} f{number}x {name(edge.b)} c{number} 0 sw{number} on",
        f".model sw{number} sw(vt=1m vh=1m ron={max(ohm, 1e-7):.9g} roff=1e9)",
        f"bc{number} c{number} 0 v=1-v(q{number})",
        f"bq{number} 0 q{number} i=({ratio}<{low:.9g}) ? 0 : exp(-pwl(ln({ratio}),{table}))",
        f"cq{number} q{number} 0 1 ic=0",
        f"rq{number} q{number} 0 1e12",
    ]


def one_way_line(number: int, link: Link, ohm: float) -> str:
    """What passes one way and no more than its rating, its corners rounded."""
    a, b = name(link.a), name(link.b)
    passes = f"((v({a})-v({b}))/{ohm:.9g})"
    some = f"({passes}+sqrt({passes}^2+{HAIR_A**2:.3g}))/2"
    if link.capacity_a == inf:
        return f"b{number} {a} {b} i={some}"
    left = f"({link.capacity_a:.9g}-{some})"
    most = f"({left}+sqrt({left}^2+{HAIR_A**2:.3g}))/2"
    return f"b{number} {a} {b} i={link.capacity_a:.9g}-{most}"


def deck(sweep: Sweep, case: Case, place: Place, ohm: float, end_s: float) -> str:
    """The whole network with the short, as a transient from the moment that it begins."""
    net = sweep.net
    lines = ["shared short"]
    edges = [
        *(*net.positive.edges, *net.ground.edges),
        *(t.edge for side in (net.positive, net.ground) for t in side.twigs),
    ]
    nodes = {n for e in edges for n in (e.a, e.b)} - {STAR}
    for number, edge in enumerate(edges):
        value = max(case.ohm[edge.id], 1e-7)
        if isinstance(edge, FuseEdge):
            lines += fuse_lines(number, edge, sweep.fuses[edge.id], value)
        elif edge.id in case.opened:
            lines.append(f"r{number} {name(edge.a)} {name(edge.b)} 1e9")
        elif isinstance(edge, Link) and edge.one_way:
            lines.append(one_way_line(number, edge, value))
        elif place.split and place.split[0] == edge.id:
            share = place.split[1]
            lines.append(f"r{number}a {name(edge.a)} nfault {value * share:.9g}")
            lines.append(f"r{number}b nfault {name(edge.b)} {value * (1 - share):.9g}")
        else:
            lines.append(f"r{number} {name(edge.a)} {name(edge.b)} {value:.9g}")
    lines += [
        f"rload{i} {name(one)} {name(other)} {load:.9g}"
        for i, (_, one, other, load) in enumerate(case.loads)
    ]
    lines += [f"rleak{i} {name(node)} 0 1e9" for i, node in enumerate(sorted(nodes))]
    for source in net.sources:
        supply = case.supplies.get(source.id)
        if supply is None:
            continue
        p, n = name(source.positive), name(source.negative)
        across = f"(v({p})-v({n}))" if n != "0" else f"v({p})"
        if supply.limit_a == inf:
            over = f"({across}-{supply.volts:.9g})"
            more = 1 / supply.ohm - 1 / supply.charging_ohm
            below = f"({over}-sqrt({over}^2+{HAIR_V**2:.3g}))/2"
            takes = f"{over}/{supply.charging_ohm:.9g}"
            lines.append(f"b{source.id} {p} {n} i={takes}+{more:.9g}*{below}")
        else:
            give = f"({supply.volts:.9g}-{across})/{supply.ohm:.9g}"
            some = f"({give}+sqrt(({give})^2+{HAIR_A**2:.3g}))/2"
            left = f"({supply.limit_a:.9g}-{some})"
            most = f"({left}+sqrt({left}^2+{HAIR_A**2:.3g}))/2"
            lines.append(f"b{source.id} {n} {p} i={supply.limit_a:.9g}-{most}")
            lines.append(f"c{source.id} {p} {n} {STORED_F} ic={supply.volts:.9g}")
    a, b = faulted(net, place)
    lines.append(f"rshort {a} {b} {max(ohm, 1e-7):.9g}")
    watched = [i for i, e in enumerate(edges) if isinstance(e, FuseEdge)]
    step = end_s / 1000
    lines += [
        ".options reltol=1e-5 abstol=1e-6 vntol=1e-7",
        f".tran {step:.9g} {end_s:.9g} 0 {step:.9g} uic",
        ".control",
        "run",
        *(f"meas tran t{i} when v(q{i})={FULL_AT} cross=1" for i in watched),
        f"meas tran done find v(q{watched[0]}) at={end_s * 0.99:.9g}",
        ".endc",
        ".end",
    ]
    return "\n".join(lines) + "\n"


def simulated(sweep: Sweep, text: str, folder: Path) -> dict[str, float] | None:
    """When each fuse opens by the simulator [s], by edge id; ``None`` where its steps grow so
    small that it does not get through."""
    assert NGSPICE is not None
    file = folder / "short.cir"
    file.write_text(text)
    try:
        done = subprocess.run(
            [NGSPICE, "-b", str(file)],
            capture_output=True,
            text=True,
            check=False,
            timeout=PATIENCE_S,
        )
    except subprocess.TimeoutExpired:
        return None
    if not re.search(r"^done\s*=", done.stdout, re.M):
        return None
    net = sweep.net
    edges = [
        *(*net.positive.edges, *net.ground.edges),
        *(t.edge for side in (net.positive, net.ground) for t in side.twigs),
    ]
    found = {}
    for number, value in re.findall(r"^t(\d+)\s*=\s*([0-9.e+-]+)", done.stdout, re.M):
        found[edges[int(number)].id] = float(value)
    return found


def stories(
    random: Random, plan: Callable[[Random], Build]
) -> tuple[Sweep, Case, Place, float, Story] | None:
    """One story of a random plan in which some fuse opens and the times are not too far apart."""
    sweep = swept(plan(random))
    if not sweep.places:
        return None
    case, place = random.choice(sweep.cases), random.choice(sweep.places)
    faults = FaultNetwork(sweep.net, case, frozenset((*sweep.fuses, *sweep.wires)))
    ohm = random.choice([0.0, 0.0, 0.005, 0.02, 0.05])
    story = sweep.story(faults, place, ohm)
    times = [time_s for _, time_s in story.opened]
    if not times or times[0] < times[-1] / 30:
        return None
    return sweep, case, place, ohm, story


def compare(plan: Callable[[Random], Build], count: int, folder: Path) -> int:
    """Compare so many stories; in how many fuses opened one after the other."""
    compared = chained = stuck = 0
    for seed in range(count * 6):
        found = stories(Random(seed), plan)
        if found is None:
            continue
        sweep, case, place, ohm, story = found
        end_s = story.opened[-1][1] * 1.15
        theirs = simulated(sweep, deck(sweep, case, place, ohm, end_s), folder)
        if theirs is None:
            stuck += 1
            continue
        for id, time_s in story.opened:
            assert theirs.get(id) == pytest.approx(time_s, rel=WITHIN), (seed, id)
        early = {id for id, time_s in theirs.items() if time_s < story.opened[-1][1] * 0.97}
        assert early <= {id for id, _ in story.opened}, seed
        compared += 1
        chained += len(story.opened) > 1
        if compared == count:
            break
    assert compared == count
    assert stuck <= max(2, count // 10)
    return chained


@pytest.mark.skipif(NGSPICE is None, reason="the circuit simulator is not installed")
def test_fuses_open_when_the_simulator_says(tmp_path: Path) -> None:
    assert compare(fed_from_several, COUNT, tmp_path)


@pytest.mark.skipif(NGSPICE is None, reason="the circuit simulator is not installed")
def test_past_relays_diodes_and_chargers_too(tmp_path: Path) -> None:
    assert compare(past_isolators, COUNT, tmp_path)
