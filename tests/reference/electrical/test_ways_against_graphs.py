"""Ways through the vehicle and what lies in each section, against a general graph library.

Outside: networkx. Its Dijkstra gives the length of the shortest way; its enumeration of all the
shortest ways says which of them may be taken, and the loads of sections are counted anew on the
edges of that graph.
"""

from collections import Counter
from itertools import pairwise
from math import inf
from random import Random

import networkx as nx
import pytest

from domain.build.records import Build, Run
from domain.electrical.sections.lying import lying
from domain.routes.lengths import run_length
from domain.routes.ways import ways
from tests.domain.routes.vehicles import random_vehicle

ASSUMED_M = 1.0
"""Planning value of a section that nobody measured, as the product's table has it [m]."""


def graph(build: Build) -> "nx.MultiGraph[str]":
    found: nx.MultiGraph[str] = nx.MultiGraph()
    found.add_nodes_from(place.id for place in build.places)
    for section in build.sections:
        if section.from_place and section.from_place != section.to_place:
            long = ASSUMED_M if section.length_m is None else section.length_m
            found.add_edge(section.from_place, section.to_place, key=section.id, weight=long)
    return found


def shortest_m(net: "nx.MultiGraph[str]", stops: list[str]) -> float:
    """The shortest way over these places in order [m]; infinite where there is none."""
    try:
        return sum(
            float(nx.dijkstra_path_length(net, one, other)) for one, other in pairwise(stops)
        )
    except nx.NetworkXNoPath:
        return inf


def stops_of(build: Build, run: Run) -> list[str]:
    at = {amplifier.id: amplifier.place for amplifier in build.amplifiers}
    ends = [at[run.source], at[run.target]]
    if "" in ends:
        return []
    return [ends[0], run.via, ends[1]] if run.via else ends


@pytest.mark.parametrize("seed", range(500))
def test_ways_are_the_shortest_and_loads_are_theirs(seed: int) -> None:
    build = random_vehicle(Random(seed))
    net, found = graph(build), ways(build)
    lengths = {section.id: section.length_m or ASSUMED_M for section in build.sections}
    carried: Counter[tuple[str, str]] = Counter()
    for run in build.runs:
        stops = stops_of(build, run)
        least = shortest_m(net, stops) if stops else inf
        way = found.get(run.id)
        if least in (0.0, inf):
            assert way is None
            continue
        assert way is not None
        assert (way.places[0], way.places[-1]) == (stops[0], stops[-1])
        assert not run.via or run.via in way.places
        joined = zip(way.places, way.places[1:], way.sections, strict=False)
        assert all(net.has_edge(one, other, key=section.id) for one, other, section in joined)
        total = sum(lengths[section.id] for section in way.sections)
        assert total == pytest.approx(least, abs=1e-5)
        expected = least if run.length_m is None else run.length_m
        assert run_length(build, run, way).length_m == pytest.approx(expected, abs=1e-5)
        for section in way.sections:
            carried[section.id, run.loom.strip().casefold()] += run.count
    lies = lying(build, found)
    assert set(lies) == set(found)
    words = {run.id: run.loom.strip().casefold() for run in build.runs}
    unrouted: Counter[str] = Counter()
    for run in build.runs:
        if run.id not in found and words[run.id]:
            unrouted[words[run.id]] += run.count
    for id, own in lies.items():
        assert [each.section for each in own] == [each.id for each in found[id].sections]
        for each in own:
            assert each.bundle == carried[each.section, words[id]] + unrouted[words[id]]


def test_random_vehicles_are_of_every_kind() -> None:
    """Else the test above would prove nothing."""
    seen: Counter[str] = Counter()
    for seed in range(500):
        build = random_vehicle(Random(seed))
        net, found = graph(build), ways(build)
        seen["rings"] += bool(nx.cycle_basis(nx.Graph(net)))
        seen["in pieces"] += not nx.is_connected(net)
        seen["several sections"] += any(len(way.sections) > 2 for way in found.values())
        seen["back and forth"] += any(
            len({s.id for s in way.sections}) < len(way.sections) for way in found.values()
        )
        for run in build.runs:
            stops = stops_of(build, run)
            if len(set(stops)) > 1 and shortest_m(net, stops) < inf:
                both = list(nx.all_shortest_paths(net, stops[0], stops[-1], weight="weight"))
                seen["as long as another"] += len(both) > 1
    assert all(seen[kind] > 20 for kind in ("rings", "in pieces", "several sections"))
    assert seen["back and forth"] > 20
    assert seen["as long as another"] > 5
