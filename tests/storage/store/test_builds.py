"""What the store keeps, and what undo and redo give back. Expected values: conservation (what
goes in comes out) unless said otherwise.
"""

import pytest

from domain.build.actions import add_amplifier
from domain.build.edits import Batch, MoveRecord, apply
from domain.build.records import Build
from domain.build.removal import remove
from domain.build.start import start_build
from storage.store.builds import Store, StoreError
from storage.store.location import Place
from tests.storage.store.builds import commit, large_build, new_store, set_length, set_title


def test_a_build_is_read_as_it_was_created(place: Place) -> None:
    build = large_build()
    path, key = new_store(place, build)
    with Store(path) as store:
        opened = store.open(key)
    assert opened.document == build
    assert opened.revision == 0
    assert len(opened.document.runs) == 60


def test_each_kind_of_edit_is_there_after_reopening(place: Place) -> None:
    path, key = new_store(place)
    build, revision = start_build(), 0
    with Store(path) as store:
        for made in range(6):
            edits = (
                add_amplifier(build),
                set_length("r4", 4.25),
                set_title("Estate car"),
                MoveRecord(table="zones", id="z3", index=0),
                Batch(edits=(set_length("r1", 1.0), set_title("Estate")), label="two at once"),
                remove(build, "blocks", "d1"),
            )
            revision, build = commit(store, key, revision, build, edits[made])
            with Store(path) as other:
                opened = other.open(key)
            assert (opened.document, opened.revision) == (build, revision)
    assert revision == 6


def test_the_list_shows_newest_change_first_and_hides_the_archived(place: Place) -> None:
    path, first = new_store(place)
    with Store(path) as store:
        second = store.create(start_build("Second"), stops=2)
        assert [b.key for b in store.builds()] == [second, first]
        after, inverse = apply(start_build(), set_title("First"))
        store.build(first).commit(0, set_title("First"), inverse, after, stops=3)
        listed = store.builds()
        assert sorted(b.key for b in listed) == [first, second]
        assert {b.key: (b.title, b.stops, b.revision, b.state) for b in listed} == {
            first: ("First", 3, 1, "planned"),
            second: ("Second", 2, 0, "planned"),
        }
        assert listed[0].changed >= listed[1].changed
        store.archive(first, True)
        assert [b.key for b in store.builds()] == [second]
        assert {b.key: b.archived for b in store.builds(archived=True)} == {
            first: True,
            second: False,
        }
        store.archive(first, False)
        assert len(store.builds()) == 2


def test_a_count_of_stops_is_noted_for_the_revision_that_it_is_of(
    place: Place, monkeypatch: pytest.MonkeyPatch
) -> None:
    path, key = new_store(place)
    with Store(path) as store:
        assert [b.stops for b in store.builds()] == [None]
        store.note_stops(key, 0, 2)
        assert [b.stops for b in store.builds()] == [2]
        with monkeypatch.context() as nothing_is_written:
            nothing_is_written.setattr(Store, "writing", None)
            store.note_stops(key, 0, 2)
        after, inverse = apply(start_build(), set_title("First"))
        store.build(key).commit(0, set_title("First"), inverse, after, stops=3)
        store.note_stops(key, 0, 1)
        assert [b.stops for b in store.builds()] == [3]


def test_undo_and_redo_work_across_restarts(place: Place) -> None:
    path, key = new_store(place)
    steps: list[Build] = [start_build()]
    with Store(path) as store:
        for revision, title in enumerate(("One", "Two", "Three")):
            steps.append(commit(store, key, revision, steps[-1], set_title(title))[1])
    revision = 3
    for expected in (2, 1, 0):
        with Store(path) as store:
            undone = store.build(key).undo()
            assert undone is not None
            assert undone.label == "set title of header"
            revision = undone.revision
            assert undone.document == steps[expected] == store.open(key).document
    with Store(path) as store:
        assert store.build(key).undo() is None
    for expected in (1, 2, 3):
        with Store(path) as store:
            redone = store.build(key).redo()
            assert redone is not None
            revision = redone.revision
            assert redone.document == steps[expected] == store.open(key).document
    with Store(path) as store:
        assert store.build(key).redo() is None
        kinds = [(line.revision, line.kind, line.target) for line in store.build(key).history()]
    assert kinds == [
        (9, "redo", 3),
        (8, "redo", 2),
        (7, "redo", 1),
        (6, "undo", 1),
        (5, "undo", 2),
        (4, "undo", 3),
        (3, "do", None),
        (2, "do", None),
        (1, "do", None),
        (0, "start", None),
    ]


def test_a_new_edit_after_undo_leaves_nothing_to_redo_and_loses_no_line(place: Place) -> None:
    path, key = new_store(place)
    with Store(path) as store:
        _, one = commit(store, key, 0, start_build(), set_title("One"))
        commit(store, key, 1, one, set_title("Two"))
        undone = store.build(key).undo()
        assert undone is not None
        commit(store, key, undone.revision, undone.document, set_title("Other"))
        assert store.build(key).redo() is None
        assert [line.kind for line in store.build(key).history()] == [
            "do",
            "undo",
            "do",
            "do",
            "start",
        ]
        undone = store.build(key).undo()
        assert undone is not None
        assert undone.document.header.title == "One"
        assert len(store.build(key).history(limit=2)) == 2


def test_undo_of_a_batch_takes_all_of_it_back(place: Place) -> None:
    path, key = new_store(place)
    build = start_build()
    with Store(path) as store:
        _, after = commit(store, key, 0, build, remove(build, "blocks", "d1"))
        assert after != build
        undone = store.build(key).undo()
        assert undone is not None
        assert undone.label == "remove Main block, with Main run"
        assert store.open(key).document == build == undone.document


def test_a_copy_has_its_own_title_and_journal(place: Place) -> None:
    path, key = new_store(place, large_build(3))
    with Store(path) as store:
        copy = store.duplicate(key, "Copy")
        assert copy != key
        opened = store.open(copy)
        assert opened.document == apply(large_build(3), set_title("Copy"))[0]
        assert opened.revision == 0
        commit(store, copy, 0, opened.document, set_length("r4", 3.0))
        assert store.open(key).document == large_build(3)
        with pytest.raises(StoreError, match="title"):
            store.duplicate(key, "x" * 501)
        assert len(store.builds()) == 2


@pytest.mark.parametrize("stops", [None, 0, 1])
def test_what_forbids_a_build_forbids_its_copy(place: Place, stops: int | None) -> None:
    path, _ = new_store(place)
    with Store(path) as store:
        copy = store.duplicate(store.create(start_build("Van"), stops), "Van 2")
        assert {b.key: b.stops for b in store.builds()}[copy] == stops


@pytest.mark.parametrize("name", ["[/red]", "=1+1", "\x1b[31m", "x" * 500, "🔊", "a\0b"])
def test_any_text_survives_the_store_and_its_journal(place: Place, name: str) -> None:
    path, key = new_store(place)
    build = start_build()
    edits = (set_title(name), *add_amplifier(build, name=name).edits)
    edit = Batch(edits=edits, label=f"{name}\ud800")
    with Store(path) as store:
        _, after = commit(store, key, 0, build, edit)
        undone = store.build(key).undo()
        assert undone is not None
        redone = store.build(key).redo()
        assert redone is not None
        assert store.open(key).document == after == redone.document
        assert "\x1b" not in store.build(key).history()[0].label


def test_a_store_in_several_threads_keeps_every_edit(place: Place) -> None:
    from concurrent.futures import ThreadPoolExecutor

    path, _ = new_store(place)
    with Store(path) as store, ThreadPoolExecutor(4) as pool:
        made = list(pool.map(lambda n: store.create(start_build(f"Build {n}")), range(20)))
        assert len(set(made)) == 20
        assert {b.title for b in store.builds()} >= {f"Build {n}" for n in range(20)}
