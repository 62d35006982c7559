"""What the inductance of wires does on the edge of a hit, on whole builds."""

from functools import cache

import pytest
from msgspec.structs import replace

from demo_db.load import demo_builds
from domain.electrical import inductance
from domain.electrical.transient import edges, networks
from domain.electrical.transient.results import Edge
from domain.electrical.transient.study import kick_study
from domain.evaluate import make_plan
from domain.reference.planning import planned
from domain.topics.kick.answer import on_edges
from domain.topics.tables import Subject
from domain.workings.electrical.kick import on_the_edge

DEMO = dict(demo_builds())
ESTATE = make_plan(DEMO["estate_car"])


@cache
def edge_of() -> Edge:
    """That of an amplifier of the estate car at idle."""
    found = edges.edge(ESTATE.solved, "idle", "a2")
    assert found is not None
    return found


def test_an_edge_costs_what_inductance_times_its_rise_is() -> None:
    # closed form: L dI/dt of the wires along the body, where nothing rings
    found = edge_of()
    _, hit = networks.beaten(ESTATE.solved)["a2"]
    amperes = hit.power_w / 13.0
    assert found.least_v == pytest.approx(
        found.least_h * amperes / planned("kick_edge_s"), rel=0.25
    )
    assert found.least_v < found.most_v
    # the wires far from their return have more, and what rings at most doubles it
    straight = found.most_h * amperes / planned("kick_edge_s")
    assert 0.7 * straight < found.most_v < 2 * straight


def test_inductance_counts_on_edges_alone() -> None:
    """Why the kick's table has none: the lamps and what is left after the edge do not change."""
    found = edge_of()
    assert found.lamps_v < 0.15 * found.most_v
    assert found.capacitor_v < 0.01
    study = kick_study(ESTATE.solved, draw_count=0)
    assert study is not None
    assert study.edge == found


@pytest.mark.parametrize("name", ["estate_car", "motorhome", "competition"])
def test_a_finer_bound_finds_the_same(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    # convergence; and stable: what draws constant power beside the amplifiers that play, there the
    # chargers and lights of a motorhome, has capacitors at its input too
    solved = make_plan(DEMO[name]).solved
    amplifier = max(networks.beaten(solved))
    found = []
    for within in (edges.WITHIN_V, edges.WITHIN_V / 20):
        monkeypatch.setattr(edges, "WITHIN_V", within)
        each = edges.edge(solved, "idle", amplifier)
        assert each is not None
        found.append((each.most_v, each.least_v, each.capacitor_v, each.lamps_v))
    assert found[0] == pytest.approx(found[1], abs=0.003)


def test_the_way_is_that_of_the_amplifier_and_the_working_ends_in_it() -> None:
    found = edge_of()
    lengths = {id: ESTATE.solved.items[id].wire_m for id in edges.way_of(ESTATE.solved, "a2")}
    # second method: the formula run by run
    told = sum(
        inductance.alone_h(length, ESTATE.solved.sized.gauge[id]) for id, length in lengths.items()
    )
    assert found.most_h == pytest.approx(told)
    assert on_the_edge(ESTATE.solved, "a2").value == pytest.approx(told)


def test_in_words() -> None:
    subject = Subject(ESTATE.build, ESTATE.sheet)
    study = kick_study(ESTATE.solved, draw_count=0)
    assert study is not None
    told = on_edges(subject, replace(study, edge=Edge(9.6e-6, 2e-6, 0.54, 0.084, 0.0, 0.004)))
    assert told == (
        "On the edges of a hit the inductance of its wires (up to 9.6 uH) takes up to 0.5 V more "
        "there for some ms, 0.08 V where they lie along the body or beside their return; a 1 F "
        "capacitor leaves nothing of it. The lamps hardly follow."
    )
    assert "leaves" not in on_edges(
        subject, replace(study, edge=Edge(9.6e-6, 2e-6, 0.5, 0.08, 0.49, 0.05))
    )
    small = Edge(1e-6, 2e-7, 0.01, 0.0, 0.0, 0.0)
    assert on_edges(subject, replace(study, edge=small)) == ""
    assert on_edges(subject, replace(study, edge=None)) == ""


def test_what_cannot_be_carried_has_no_edge() -> None:
    for name, build in DEMO.items():
        study = kick_study(make_plan(build).solved, draw_count=0)
        assert study is not None
        assert (study.edge is not None) == bool(study.conditions[0].band), name
