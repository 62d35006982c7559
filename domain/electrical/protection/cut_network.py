"""The wiring cut at its fuses: segments of wire, and what joins them.

Every laid run, existing or new, positive or ground, becomes the segments between its ends and
its fuses. On each side the network has a *core* (what lies between the sources, rings included)
and *twigs*, in which current flows only towards the fault. All three proofs of protection are
worked out on this one structure.

A fuse in a ground run cuts it like any other. It limits what comes back through its own wire
(``circulation``); for a short it counts for nothing, neither on the plus side nor in the sweep: a
second way back, as a rubbed cable or the shield of a signal cable, goes round it.
"""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from math import inf

from msgspec import Struct

from domain.build.choices import BlockKind, Polarity
from domain.build.records import Build, Run
from domain.document.kept import kept
from domain.document.records import find
from domain.electrical.loads import takers
from domain.electrical.network.converters import is_converter
from domain.electrical.network.system import isolator_limit_a, one_way
from domain.electrical.network.wiring import STAR, Wiring
from domain.electrical.protection.fuse_place import fuse_assumed, fuse_distance_m

OUTPUT = ">"
"""Behind the id of a DC-DC charger: its output as what may be short inside it."""

LEAST_M = 1e-6
"""Wire shorter than this is no wire: the fuse sits on the post [m]."""


@dataclass(frozen=True, slots=True)
class Segment:
    """A piece of one run between two nodes, from ``start_m`` to ``end_m`` along its wire [m].

    ``a`` is the node nearer the run's source. ``assumed`` says that its length rests on a fuse
    whose place was not entered. ``copy`` counts the parallel wires of one run from 0. Two
    segments that differ in length only are equal: what flows does not depend on it.
    """

    id: str
    run: str
    positive: bool
    a: str
    b: str
    start_m: float = field(compare=False)
    end_m: float = field(compare=False)
    assumed: bool = field(default=False, compare=False)
    copy: int = 0

    @property
    def length_m(self) -> float:
        """Wire in it [m]."""
        return self.end_m - self.start_m


class FuseEdge(Struct, frozen=True):
    """A fuse between two nodes; ``far`` where it is the one at its run's far end."""

    id: str
    run: str
    far: bool
    a: str
    b: str
    copy: int = 0
    positive: bool = True


class Link(Struct, frozen=True):
    """What else joins two nodes: an isolator, or the body between a ground point and the star.

    ``capacity_a`` is the most it passes for good [A]; ``one_way`` passes from ``a`` to ``b`` only.
    """

    id: str
    a: str
    b: str
    isolator: bool = False
    capacity_a: float = inf
    one_way: bool = False


Edge = Segment | FuseEdge | Link


class Source(Struct, frozen=True):
    """A battery or alternator; ``output_a`` is the most it gives for good [A]."""

    id: str
    positive: str
    negative: str
    output_a: float = inf

    @property
    def battery(self) -> bool:
        """Whether it is a battery, which nothing limits."""
        return self.output_a == inf


class Load(Struct, frozen=True):
    """What takes current; ``onboard_a`` are the fuses on the unit, infinite where not known [A]."""

    id: str
    positive: str
    negative: str
    onboard_a: float = inf


class Twig(Struct, frozen=True):
    """A node that hangs on the rest by one edge; ``parent`` is the node nearer the core."""

    node: str
    parent: str
    edge: Edge


class Side(Struct, frozen=True):
    """The positive or the ground side: its core, and the twigs from the core outwards.

    ``root`` gives each twig node the core node that it hangs on in the end, ``up`` its twig.
    """

    core: frozenset[str]
    edges: tuple[Edge, ...]
    twigs: tuple[Twig, ...]
    root: Mapping[str, str]
    up: Mapping[str, Twig]

    def to_core(self, node: str) -> list[Twig]:
        """The twigs from a node to the core, outermost first."""
        way = []
        while node in self.up:
            twig = self.up[node]
            way.append(twig)
            node = twig.parent
        return way

    @property
    def ringed(self) -> bool:
        """Whether current finds more than one way between some two nodes of the core."""
        nodes = {node for edge in self.edges for node in (edge.a, edge.b)}
        return len(self.edges) >= max(len(nodes), 1)


@dataclass(frozen=True, eq=False)
class CutNetwork:
    """Both sides, and the sources and loads between them.

    It is asked again and again while sizes are chosen: what follows from it alone is kept in it.
    """

    positive: Side
    ground: Side
    sources: tuple[Source, ...]
    loads: tuple[Load, ...]
    segments: tuple[Segment, ...]
    fuses: tuple[FuseEdge, ...]
    edges: tuple[Edge, ...] = ()

    def __hash__(self) -> int:
        """By what is joined to what, lengths apart."""
        return self._hash

    @cached_property
    def _hash(self) -> int:
        return hash((self.edges, self.sources, self.loads))

    @cached_property
    def lengths(self) -> dict[str, float]:
        """Wire in every segment, by id [m]."""
        return {segment.id: segment.length_m for segment in self.segments}

    @cached_property
    def ground_fuses(self) -> tuple[FuseEdge, ...]:
        """The fuses in ground runs; hardly a plan has one."""
        return tuple(fuse for fuse in self.fuses if not fuse.positive)

    @cached_property
    def of_run(self) -> dict[str, list[Segment]]:
        """The segments of the first of each run's wires, from its source on."""
        found: dict[str, list[Segment]] = {}
        for segment in self.segments:
            if not segment.copy:
                found.setdefault(segment.run, []).append(segment)
        return found

    @cached_property
    def beside(self) -> tuple[tuple[str, str], ...]:
        """Feeding blocks, each with the ground block of an amplifier that both serve."""
        pairs: dict[tuple[str, str], None] = {}
        for load in self.loads:
            feeds = _first_block(self.positive.to_core(load.positive))
            backs = _first_block(self.ground.to_core(load.negative))
            if feeds and backs:
                pairs[feeds, backs] = None
        return tuple(pairs)

    @cached_property
    def returning(self) -> dict[str, list[int]]:
        """The loads, by their place, that return through each twig node of the ground."""
        found: dict[str, list[int]] = {}
        for number, load in enumerate(self.loads):
            for twig in self.ground.to_core(load.negative):
                found.setdefault(twig.node, []).append(number)
        return found

    def __eq__(self, other: object) -> bool:
        """Whether the same is joined in the same way; wires may differ in length."""
        return isinstance(other, CutNetwork) and (
            (self.edges, self.sources, self.loads) == (other.edges, other.sources, other.loads)
        )


def _first_block(way: list[Twig]) -> str:
    """The first block on a way towards the core; "" where there is none."""
    return next((t.parent for t in way if t.parent[0] == "d" and "_" not in t.parent), "")


def cut_network(build: Build, wiring: Wiring, wire_m: Mapping[str, float]) -> CutNetwork:
    """The network of a build, cut at its fuses. ``wire_m`` are wire lengths with slack [m]."""
    positive: list[Edge] = []
    ground: list[Edge] = []
    for run in build.runs:
        if run.id in wiring.ends:
            side = positive if run.polarity is Polarity.POSITIVE else ground
            for copy in range(run.count):
                side += _pieces(build, run, wiring.ends[run.id], wire_m[run.id], copy)
    for block in build.blocks:
        if block.kind is BlockKind.ISOLATOR:
            ends = f"{block.id}_in", f"{block.id}_out"
            limit_a = isolator_limit_a(block)
            positive.append(Link(block.id, *ends, True, limit_a, one_way(block)))
    ground += [Link(point.id, point.id, STAR) for point in build.grounds]
    sources = (
        *(Source(b.id, f"{b.id}_pos", f"{b.id}_neg") for b in build.batteries),
        *(Source(g.id, f"{g.id}_pos", f"{g.id}_neg", g.rated_a) for g in build.alternators),
    )
    loads = tuple(
        Load(a.id, f"{a.id}_pos", f"{a.id}_neg", a.onboard_fuse_a or inf) for a in takers(build)
    )
    return network(positive, ground, sources, (*loads, *_inside_chargers(build, wiring)))


def _inside_chargers(build: Build, wiring: Wiring) -> Iterator[Load]:
    """DC-DC chargers as what a fault inside makes of them: either side short to its ground lead."""
    for block in build.blocks:
        back = f"{block.id}_neg"
        if is_converter(block) and back in wiring.nodes:
            yield Load(block.id, f"{block.id}_in", back)
            yield Load(block.id + OUTPUT, f"{block.id}_out", back)


def network(
    positive: list[Edge],
    ground: list[Edge],
    sources: tuple[Source, ...],
    loads: tuple[Load, ...],
) -> CutNetwork:
    """A network from the edges of its two sides."""
    return CutNetwork(
        positive=side(positive, frozenset(s.positive for s in sources)),
        ground=side(ground, frozenset((*(s.negative for s in sources), STAR))),
        sources=sources,
        loads=loads,
        segments=tuple(e for e in (*positive, *ground) if isinstance(e, Segment)),
        fuses=tuple(e for e in (*positive, *ground) if isinstance(e, FuseEdge)),
        edges=(*positive, *ground),
    )


def copy_mark(copy: int) -> str:
    """What stands behind a run's id in the names of its further wires side by side."""
    return f"#{copy + 1}" if copy else ""


def is_copy(node: str) -> bool:
    """Whether a node lies within a further wire of several side by side."""
    return "#" in node


def _cut_by(
    build: Build, run: Run, ends: tuple[str, str], wire_m: float, copy: int
) -> tuple[object, ...]:
    return run, find(build, run.source), ends, wire_m, copy


@kept(600, by=_cut_by)
def _pieces(
    build: Build, run: Run, ends: tuple[str, str], wire_m: float, copy: int
) -> tuple[Edge, ...]:
    """The segments and fuses of one wire of a run, from its source to its target."""
    mark = copy_mark(copy)
    positive = run.polarity is Polarity.POSITIVE
    cuts: list[tuple[float, bool]] = []
    if run.fused:
        cuts.append((min(fuse_distance_m(build, run), wire_m), False))
    if run.far_fused:
        ahead = cuts[0][0] if cuts else 0.0
        at = max(wire_m - fuse_distance_m(build, run, far=True), ahead)
        cuts.append((at, True))
    assumed = fuse_assumed(run), fuse_assumed(run, far=True)
    pieces: list[Edge] = []
    node, start, segments = ends[0], 0.0, 0
    for number, (at, far) in enumerate(cuts, 1):
        before = node
        if at - start > LEAST_M:
            before = f"{run.id}{mark}~{number}a"
            rests = assumed[far] or (number == 2 and assumed[0])
            segments += 1
            name = f"{run.id}{mark}.{segments}"
            pieces.append(Segment(name, run.id, positive, node, before, start, at, rests, copy))
        last = number == len(cuts) and wire_m - at <= LEAST_M
        node = ends[1] if last else f"{run.id}{mark}~{number}b"
        fuse = f"{run.id}{mark}{'>' if far else ''}"
        pieces.append(FuseEdge(fuse, run.id, far, before, node, copy, positive))
        start = at
    if wire_m - start > LEAST_M or not cuts:
        rests = any(assumed[far] for _, far in cuts[-1:])
        pieces.append(
            Segment(
                f"{run.id}{mark}.{segments + 1}",
                *(run.id, positive, node, ends[1], start, max(wire_m, start), rests, copy),
            )
        )
    return tuple(pieces)


def side(edges: list[Edge], kept: frozenset[str]) -> Side:
    """Core and twigs of one side; nodes in ``kept`` are never taken off."""
    at: dict[str, list[int]] = {}
    for node in kept:
        at[node] = []
    for number, edge in enumerate(edges):
        at.setdefault(edge.a, []).append(number)
        at.setdefault(edge.b, []).append(number)
    left = {node: len(numbers) for node, numbers in at.items()}
    gone: set[int] = set()
    twigs: list[Twig] = []
    off: set[str] = set()
    ready = [node for node, count in left.items() if count == 1 and node not in kept]
    while ready:
        node = ready.pop()
        number = next((n for n in at[node] if n not in gone), -1)
        if number < 0:
            continue  # the last node of a tree that no source reaches
        edge = edges[number]
        gone.add(number)
        parent = edge.b if edge.a == node else edge.a
        twigs.append(Twig(node, parent, edge))
        off.add(node)
        left[parent] -= 1
        if left[parent] == 1 and parent not in kept and parent not in off:
            ready.append(parent)
    twigs.reverse()
    root: dict[str, str] = {}
    for twig in twigs:
        root[twig.node] = root.get(twig.parent, twig.parent)
    return Side(
        core=frozenset(node for node in at if node not in off),
        edges=tuple(edge for number, edge in enumerate(edges) if number not in gone),
        twigs=tuple(twigs),
        root=root,
        up={twig.node: twig for twig in twigs},
    )


Capacity = Callable[[Edge], float]
"""What an edge passes for good [A]."""


def capacities(fuse_a: Mapping[str, float]) -> Capacity:
    """Capacity of edges with these fuse ratings by run: wire has no limit, a fuse its rating."""

    def capacity(edge: Edge) -> float:
        if isinstance(edge, FuseEdge):
            return fuse_a.get(edge.run, inf)
        return edge.capacity_a if isinstance(edge, Link) else inf

    return capacity
