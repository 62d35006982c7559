"""The harness as a tree, and the order of pulling: conservation, and distances of a graph library.

Outside: networkx gives the distance of every branch point from the battery where the sections in
use are a tree, and says whether they are one.
"""

from random import Random
from typing import Any

import networkx as nx
import pytest

from domain.build.edits import SetField, apply
from domain.build.records import Build
from domain.cable.harness_tree import harness_tree
from domain.cable.section_results import pulling_order, section_results
from domain.evaluate import evaluate
from domain.routes.ways import ways
from domain.work_order import work_order
from tests.domain.routes.vehicles import estate, random_vehicle


def set_to(build: Build, table: str, id: str, field: str, value: Any) -> Build:
    return apply(build, SetField(table=table, id=id, field=field, value=value))[0]


@pytest.mark.parametrize("seed", range(60))
def test_each_section_in_use_is_drawn_once_and_as_far_out_as_it_is(seed: int) -> None:
    build = random_vehicle(Random(seed))
    sheet = evaluate(build)
    branches = harness_tree(build, sheet)
    used = {section.id for way in ways(build).values() for section in way.sections}
    assert sorted(branch.section.id for branch in branches) == sorted(used)
    net: nx.MultiGraph[str] = nx.MultiGraph()
    for branch in branches:
        net.add_edge(branch.near, branch.far, weight=branch.section.length_m)
    rings = len(net.edges) - len(net.nodes) + nx.number_connected_components(net)
    assert sum(branch.again for branch in branches) == rings
    if rings == 0 and branches and nx.is_connected(net):
        root = branches[0].near
        far = nx.single_source_dijkstra_path_length(net, root)
        for branch in branches:
            assert branch.start_m == pytest.approx(far[branch.near])
            assert branch.end_m == pytest.approx(far[branch.far])


@pytest.mark.parametrize("seed", range(60))
def test_branches_on_one_line_do_not_lie_on_each_other(seed: int) -> None:
    build = random_vehicle(Random(seed))
    lines: dict[int, float] = {}
    for branch in harness_tree(build, evaluate(build)):
        assert branch.start_m >= lines.get(branch.line, 0.0) - 1e-9
        lines[branch.line] = branch.end_m
        assert branch.off <= branch.line


def test_the_tree_begins_at_the_battery_and_follows_the_most_wires() -> None:
    found = harness_tree(estate(), evaluate(estate()))
    assert [(b.section.id, b.near, b.far, b.line) for b in found] == [
        ("y1", "j1", "j2", 0),
        ("y2", "j2", "j3", 0),
        ("y3", "j3", "j4", 0),
        ("y4", "j4", "j5", 0),
    ]
    assert [b.start_m for b in found] == pytest.approx([0.0, 1.0, 3.5, 5.0])


def test_thick_wires_are_pulled_before_thin_ones_and_long_ones_before_short() -> None:
    build = estate()
    for id, gauge in (("r2", "AWG 8"), ("r3", "AWG 4"), ("r4", "AWG 8"), ("r7", "AWG 4")):
        build = set_to(build, "runs", id, "gauge", gauge)
    for id in ("r5", "r6"):
        build = set_to(build, "runs", id, "gauge", "AWG 10")
    sheet = evaluate(build)
    by_id = {section.id: section for section in section_results(build, sheet.runs)}
    # r3, r4, r6 and r7 go on to the side panel; r2 and r5 end before it.
    assert by_id["y3"].runs == ("r3", "r7", "r4", "r2", "r6", "r5")
    assert by_id["y4"].runs == ("r3", "r7", "r4", "r6")
    for section in by_id.values():
        own = [run for run in pulling_order(sheet.runs) if run.id in section.runs]
        areas = [run.area_mm2 for run in own]
        assert areas == sorted(areas, reverse=True)


def test_the_work_order_pulls_by_section_and_makes_each_hole_once() -> None:
    build = set_to(estate(), "sections", "y1", "hole", "new hole, grommet")
    build = set_to(build, "sections", "y1", "airbag", True)
    build = set_to(build, "sections", "y1", "hint", "left of the pedals")
    build = set_to(build, "sections", "y2", "fuel", True)
    steps = work_order(build, evaluate(build))
    pulled = [s.what for s in steps if s.stage.startswith("Pull")]
    assert len(pulled) == 1 + 4  # taping the ends, and four sections with new wires
    assert sum(step.what.count("CAUTION, airbag") for step in steps) == 1
    assert sum(step.what.count("CAUTION, fuel or brake line") for step in steps) == 1
    (hole,) = [s.what for s in steps if "Post to Firewall, through firewall" in s.what]
    assert "left of the pedals" in hole
    assert "bore" in hole
    (main,) = [s.what for s in steps if "(r1)" in s.what and "lay it from" in s.what]
    assert "to Block by Firewall," in main
    order = [step.order for step in steps if "Post to Firewall" in step.what]
    assert order == sorted(order)


def test_a_build_without_sections_has_no_such_steps() -> None:
    plain = estate().but(sections=())
    stages = {step.stage for step in work_order(plain, evaluate(plain))}
    assert not any(stage.startswith("Pull") for stage in stages)
    assert harness_tree(plain, evaluate(plain)) == ()
