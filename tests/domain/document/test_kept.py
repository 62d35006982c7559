"""What is kept by the identity of its arguments is theirs and nobody else's."""

from random import Random

import pytest
from msgspec.structs import replace

from demo_db.load import demo_builds
from domain.build.edits import Scalar, SetField, apply
from domain.document import records
from domain.document.kept import kept
from domain.document.records import Document, find, label
from domain.evaluate import evaluate
from tests.counts import cases
from tests.domain.electrical.random_builds import edited, random_build


def test_the_very_same_is_found_again_and_an_equal_one_is_worked_out() -> None:
    asked: list[tuple[int, ...]] = []

    @kept(2)
    def total(numbers: tuple[int, ...]) -> int:
        asked.append(numbers)
        return sum(numbers)

    one = tuple(range(1, 4))
    equal = tuple(range(1, 4))
    assert [total(one), total(one), total(equal)] == [6, 6, 6]
    assert len(asked) == 2


def test_identities_that_come_back_are_not_taken_for_the_ones_before() -> None:
    # tuples that are let go leave their place, and so their identity, to the next
    @kept(3)
    def first(numbers: tuple[int, ...]) -> int:
        return numbers[0]

    assert [first(tuple(range(n, n + 2))) for n in range(200)] == list(range(200))


def test_an_argument_by_name_is_refused() -> None:
    double = kept(2)(lambda given: 2 * given)
    assert double(3) == 6
    with pytest.raises(TypeError, match="by place"):
        double(given=4)


def test_a_record_is_found_as_it_is_after_an_edit() -> None:
    # by definition: the tables' own records, one after the other
    build = random_build(Random(3), 30)
    assert build.runs
    for run in build.runs:
        assert find(build, run.id) is run
        edited, _ = apply(build, SetField(table="runs", id=run.id, field="name", value="Mine"))
        assert find(edited, run.id) is next(r for r in edited.runs if r.id == run.id)
        assert (label(edited, run.id), label(build, run.id)) != ("Mine", "Mine")
        build = edited
    assert find(build, "r9999") is None
    assert find(build, "") is None


@pytest.mark.parametrize("seed", range(cases(60, 4)))
def test_an_edit_after_another_says_what_a_fresh_build_says(seed: int) -> None:
    # second way: the same records made anew, of which nothing is kept
    random = Random(seed)
    demos = [build for _, build in demo_builds()[1:4]]
    build = random.choice(demos) if seed % 2 else random_build(random, 12)
    for _ in range(8):
        build = edited(build, random)
        found, anew = evaluate(build), evaluate(type(build).of(build.plain()))
        assert found == anew
        assert (found.designs, found.materials) == (anew.designs, anew.materials)


def test_a_record_is_looked_up_once_for_its_label(monkeypatch: pytest.MonkeyPatch) -> None:
    build = replace(random_build(Random(3), 30))
    asked: list[str] = []

    def counted(document: Document, id: str) -> object:
        asked.append(id)
        return find(document, id)

    monkeypatch.setattr(records, "find", counted)
    run = build.runs[0]
    assert len({label(build, run.id) for _ in range(3)}) == 1
    assert asked.count(run.id) == 1
    assert label(replace(build), run.id) == label(build, run.id)


def test_what_a_result_does_not_follow_from_may_be_another() -> None:
    asked: list[int] = []

    @kept(2, by=lambda given, beside: (given,))
    def double(given: int, beside: object) -> int:
        asked.append(given)
        return 2 * given

    assert [double(3, []), double(3, []), double(4, [])] == [6, 6, 8]
    assert asked == [3, 4]


@pytest.mark.parametrize("seed", range(cases(12, 4)))
def test_a_conductor_and_its_pieces_follow_whatever_bears_on_them(seed: int) -> None:
    # second method: the same build of new records, of which nothing is known yet
    random = Random(seed)
    for _ in range(3):
        build = random_build(random, 25, seed % 2 == 1)
        evaluate(build)
        device = random.choice([*build.blocks, *build.amplifiers, *build.zones])
        table = {"d": "blocks", "a": "amplifiers", "z": "zones"}[device.id[0]]
        changes: dict[str, tuple[str, Scalar]] = {
            "blocks": ("largest_out", "AWG 8"),
            "amplifiers": ("largest_wire", "AWG 10"),
            "zones": ("ambient_c", 71.0),
        }
        field, value = changes[table]
        after, _ = apply(build, SetField(table=table, id=device.id, field=field, value=value))
        again = type(after).of(after.plain())
        assert evaluate(after).runs == evaluate(again).runs
