"""Who is joined to whom: the nodes of a build, and the paths that feed and return.

A run counts as laid when both its ends name devices that its side can be joined to. What is
not laid, leads nowhere, or closes a loop is reported here and judged by the checks.
"""

from collections import deque
from collections.abc import Callable, Sequence
from functools import lru_cache

from msgspec import Struct

from domain.build.choices import BlockKind, Isolates, Polarity
from domain.build.records import Block, Build, Run
from domain.document.kept import kept
from domain.electrical.loads import takers

TERMINALS = ("a", "b", "g", "v")
"""First letters of the ids of devices with a positive and a negative terminal."""

STAR = "chassis"
"""Name of the reference node: the star point of the body."""


class Path(Struct, frozen=True):
    """The runs from a load's terminal to a battery; ``battery`` is "" if none is reached."""

    battery: str
    runs: tuple[str, ...]


class Wiring(Struct, frozen=True):
    """The laid runs of a build and what follows from how they are joined.

    ``ends`` gives each laid run's two node names, source first. ``links`` gives the runs that
    join each further battery to the starter battery, ``charging`` those from each alternator to
    the nearest battery and from its ground to the body, its own first. ``idle`` are the batteries
    and alternators that are not joined to anything on both sides: they give nothing. ``order``
    lists every run in tree order from the batteries with its depth; ground runs follow. ``loops``
    are runs that join what is already joined, ``loose`` runs that no battery reaches, ``unlaid``
    runs with an end that is missing or does not suit their side.
    """

    nodes: tuple[str, ...]
    ends: dict[str, tuple[str, str]]
    feed: dict[str, Path]
    ret: dict[str, Path]
    feeds: dict[str, tuple[str, ...]]
    returns: dict[str, tuple[str, ...]]
    links: dict[str, tuple[str, ...]]
    charging: dict[str, tuple[str, ...]]
    idle: tuple[str, ...]
    order: tuple[tuple[str, int], ...]
    loops: tuple[str, ...]
    loose: tuple[str, ...]
    unlaid: tuple[str, ...]


def node_at(
    build_blocks: dict[str, BlockKind],
    device: str,
    polarity: Polarity,
    out: bool,
    chargers: tuple[str, ...] = (),
) -> str:
    """The node that a run of this side joins at a device; "" where it cannot be joined.

    ``out`` is true at the run's source end: an isolator has an input and an output.
    ``chargers`` are the isolators that are DC-DC chargers: these have a negative terminal too.
    """
    letter = device[:1]
    if letter in TERMINALS:
        return f"{device}_pos" if polarity is Polarity.POSITIVE else f"{device}_neg"
    if letter == "e":
        return device if polarity is Polarity.GROUND else ""
    kind = build_blocks.get(device)
    if device in chargers and polarity is Polarity.GROUND:
        return f"{device}_neg"
    if kind is BlockKind.ISOLATOR:
        return (f"{device}_out" if out else f"{device}_in") if polarity is Polarity.POSITIVE else ""
    if kind is not None and kind.distributes:
        return device if polarity is Polarity.POSITIVE else ""
    if kind is BlockKind.GROUND:
        return device if polarity is Polarity.GROUND else ""
    return ""


@kept(4)
def wiring(build: Build) -> Wiring:
    """The wiring of a build."""
    return _wiring(
        tuple((run.id, run.polarity, run.source, run.target) for run in build.runs),
        tuple(battery.id for battery in build.batteries),
        tuple(alternator.id for alternator in build.alternators),
        tuple(taker.id for taker in takers(build)),
        tuple((block.id, block.kind) for block in build.blocks),
        tuple(point.id for point in build.grounds),
        tuple(block.id for block in build.blocks if block.isolates is Isolates.CONVERTER),
    )


@lru_cache(maxsize=32)
def _wiring(
    runs: tuple[tuple[str, Polarity, str, str], ...],
    batteries: tuple[str, ...],
    alternators: tuple[str, ...],
    amplifiers: tuple[str, ...],
    blocks: tuple[tuple[str, BlockKind], ...],
    grounds: tuple[str, ...],
    chargers: tuple[str, ...],
) -> Wiring:
    kinds = dict(blocks)
    ends: dict[str, tuple[str, str]] = {}
    unlaid = []
    for id, polarity, source, target in runs:
        pair = (
            node_at(kinds, source, polarity, True, chargers),
            node_at(kinds, target, polarity, False, chargers),
        )
        if all(pair) and pair[0] != pair[1]:
            ends[id] = pair
        else:
            unlaid.append(id)
    side = {id: polarity for id, polarity, _, _ in runs}
    positive = [id for id, polarity, _, _ in runs if polarity is Polarity.POSITIVE and id in ends]
    ground = [id for id, polarity, _, _ in runs if polarity is Polarity.GROUND and id in ends]
    isolators = [(f"{id}_in", f"{id}_out") for id, kind in blocks if kind is BlockKind.ISOLATOR]

    order, loops, reached = _tree(batteries, positive, ends, isolators)
    loose = [id for id in positive if id not in reached]
    grounded_order = [(id, 0) for id, _, _, _ in runs if side[id] is Polarity.GROUND]
    listed = {id for id, _ in order}
    order += [
        (id, 0) for id, polarity, _, _ in runs if polarity is Polarity.POSITIVE and id not in listed
    ]

    up = _search([f"{b}_pos" for b in batteries], positive, ends, isolators)
    starter = _search([f"{b}_pos" for b in batteries[:1]], positive, ends, isolators)
    down = _search([f"{b}_neg" for b in batteries], ground, ends, [])
    earth = _search(list(grounds), ground, ends, [])
    feed = {a: _path(up, f"{a}_pos") for a in amplifiers}
    battery_return = {b: _path(earth, f"{b}_neg") for b in batteries}
    ret = {}
    for a in amplifiers:
        straight, through_body = _path(down, f"{a}_neg"), _path(earth, f"{a}_neg")
        home = feed[a].battery
        if through_body.battery and home and battery_return[home].battery:
            there_and_back = through_body.runs + battery_return[home].runs
            once = tuple(run for run in there_and_back if there_and_back.count(run) == 1)
            ret[a] = Path(home, once)
        elif straight.battery:
            ret[a] = Path(straight.battery, straight.runs)
        else:
            ret[a] = Path("", through_body.runs)
    return Wiring(
        nodes=(
            *_nodes(batteries, alternators, amplifiers, blocks, grounds),
            *(f"{id}_neg" for id in chargers if _grounded(f"{id}_neg", ends)),
        ),
        ends=ends,
        feed=feed,
        ret=ret,
        feeds=_users(feed, ends),
        returns=_users(ret, ends),
        links={b: _path(starter, f"{b}_pos").runs + battery_return[b].runs for b in batteries[1:]},
        charging={
            g: _path(up, f"{g}_pos").runs + _path(earth, f"{g}_neg").runs for g in alternators
        },
        idle=_idle(batteries, alternators, amplifiers, ends, isolators, grounds),
        order=tuple(order + grounded_order),
        loops=tuple(loops),
        loose=tuple(loose),
        unlaid=tuple(unlaid),
    )


def _grounded(node: str, ends: dict[str, tuple[str, str]]) -> bool:
    return any(node in pair for pair in ends.values())


def _idle(
    batteries: tuple[str, ...],
    alternators: tuple[str, ...],
    amplifiers: tuple[str, ...],
    ends: dict[str, tuple[str, str]],
    isolators: list[tuple[str, str]],
    grounds: tuple[str, ...],
) -> tuple[str, ...]:
    """Sources that share no other device on both of their sides; ground points share the body."""
    root: dict[str, str] = {}

    def part(node: str) -> str:
        while node in root:
            node = root[node]
        return node

    for a, b in [*ends.values(), *isolators, *((point, STAR) for point in grounds)]:
        if part(a) != part(b):
            root[part(a)] = part(b)
    sides = {
        device: (part(f"{device}_pos"), part(f"{device}_neg"))
        for device in (*batteries, *alternators, *amplifiers)
    }
    return tuple(
        source
        for source in (*batteries, *alternators)
        if len(sides) > 1
        and not any(
            sides[other] == sides[source]
            for other in sides
            if other != source and (source in batteries or other not in alternators)
        )
    )


def _nodes(
    batteries: tuple[str, ...],
    alternators: tuple[str, ...],
    amplifiers: tuple[str, ...],
    blocks: tuple[tuple[str, BlockKind], ...],
    grounds: tuple[str, ...],
) -> tuple[str, ...]:
    names = []
    for device in (*batteries, *alternators, *amplifiers):
        names += [f"{device}_pos", f"{device}_neg"]
    for id, kind in blocks:
        names += [f"{id}_in", f"{id}_out"] if kind is BlockKind.ISOLATOR else [id]
    return (*names, *grounds)


def _tree(
    batteries: tuple[str, ...],
    runs: list[str],
    ends: dict[str, tuple[str, str]],
    isolators: list[tuple[str, str]],
) -> tuple[list[tuple[str, int]], list[str], set[str]]:
    """Depth-first order of the runs from the batteries, runs that close a loop, runs reached."""
    at: dict[str, list[tuple[str, str]]] = {}
    for id in runs:
        a, b = ends[id]
        at.setdefault(a, []).append((id, b))
        at.setdefault(b, []).append((id, a))
    passes = {**dict(isolators), **{b: a for a, b in isolators}}
    order: list[tuple[str, int]] = []
    loops: list[str] = []
    taken: set[str] = set()
    seen: set[str] = set()
    for battery in batteries:
        stack = [(f"{battery}_pos", 0, "")]
        while stack:
            node, depth, via = stack.pop()
            if via:
                if via in taken:
                    continue
                taken.add(via)
                order.append((via, depth - 1))
                if node in seen:
                    loops.append(via)
                    continue
            seen.add(node)
            through = passes.get(node)
            if through and through not in seen:
                seen.add(through)
                nexts = at.get(node, []) + at.get(through, [])
            else:
                nexts = at.get(node, [])
            stack += [(other, depth + 1, id) for id, other in reversed(nexts) if id not in taken]
    return order, loops, taken


_Found = dict[str, tuple[str, str, str]]
"""Node -> (start it was reached from, previous node, run by which; "" for an isolator)."""


def _search(
    starts: list[str],
    runs: list[str],
    ends: dict[str, tuple[str, str]],
    links: list[tuple[str, str]],
) -> _Found:
    """Breadth-first search from several starts at once: each node's nearest start and way there."""
    at: dict[str, list[tuple[str, str]]] = {}
    for name, (a, b) in [*((id, ends[id]) for id in runs), *(("", pair) for pair in links)]:
        at.setdefault(a, []).append((name, b))
        at.setdefault(b, []).append((name, a))
    found: _Found = {start: (start, "", "") for start in starts}
    queue = deque(starts)
    while queue:
        node = queue.popleft()
        for run, other in at.get(node, []):
            if other not in found:
                found[other] = (found[node][0], node, run)
                queue.append(other)
    return found


def _path(found: _Found, node: str) -> Path:
    if node not in found:
        return Path("", ())
    start = found[node][0]
    runs = []
    while found[node][1]:
        _, previous, run = found[node]
        if run:
            runs.append(run)
        node = previous
    return Path(start.removesuffix("_pos").removesuffix("_neg"), tuple(runs))


def _users(paths: dict[str, Path], ends: dict[str, tuple[str, str]]) -> dict[str, tuple[str, ...]]:
    """Run -> amplifiers on whose path it lies; a run beside one (same ends) counts like it."""
    at_ends: dict[frozenset[str], set[str]] = {}
    for amplifier, path in paths.items():
        for id in path.runs:
            at_ends.setdefault(frozenset(ends[id]), set()).add(amplifier)
    return {
        id: tuple(a for a in paths if a in at_ends.get(frozenset(pair), ()))
        for id, pair in ends.items()
    }


def same_way(run: Run, other: Run) -> bool:
    """Whether two runs lie side by side between the same devices."""
    return run.polarity is other.polarity and {run.source, run.target} == {
        other.source,
        other.target,
    }


def stays_joined(isolator: Block) -> bool:
    """Whether an isolator joins its sides as a wire does: a switch that is left closed.

    A relay parts them with the engine off; diodes and DC-DC chargers pass one way only.
    """
    return isolator.isolates is Isolates.SWITCH


def joined_nodes(
    build: Build,
    joined: Wiring,
    starts: Sequence[str],
    passes: Callable[[Run], bool] = lambda run: True,
    through: Callable[[Block], bool] = lambda isolator: True,
) -> frozenset[str]:
    """The positive nodes that laid runs and isolators join, those that are named, from some on."""
    at: dict[str, list[str]] = {}
    pairs = [
        joined.ends[run.id]
        for run in build.runs
        if run.id in joined.ends and run.polarity is Polarity.POSITIVE and passes(run)
    ]
    pairs += [
        (f"{block.id}_in", f"{block.id}_out")
        for block in build.blocks
        if block.kind is BlockKind.ISOLATOR and through(block)
    ]
    for a, b in pairs:
        at.setdefault(a, []).append(b)
        at.setdefault(b, []).append(a)
    found, ahead = set(starts), list(starts)
    while ahead:
        for other in at.get(ahead.pop(), ()):
            if other not in found:
                found.add(other)
                ahead.append(other)
    return frozenset(found)
