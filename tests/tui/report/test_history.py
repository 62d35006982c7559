"""The journal in words: values as the build shows them, the page where they are edited, filters."""

import csv
import io
import json
import sqlite3
from contextlib import closing
from decimal import Decimal
from pathlib import Path

import pytest

from domain.build.actions import add_amplifier, applied
from domain.build.changes import changes, meet, touched
from domain.build.edits import AddRecord, Batch, Edit, MoveRecord, RemoveRecord, SetField, apply
from domain.build.records import Build
from domain.build.start import start_build
from domain.shop.catalogue import CatalogueItem
from domain.shop.shop import Shop
from storage.store.builds import Store
from tests.storage.store.builds import new_store, set_length
from tests.storage.store.stocking import Stocking
from tests.tui.commanding import Command, Ended
from tui.report.history import PAGES, SHOP_PAGES, Told, Wanted, here, told, values
from tui.screens.build_actions import BUILD_VIEWS
from tui.screens.shop_actions import SHOP_VIEWS
from tui.tables import build_tables

HOSTILE = "\x1b]52;c;aGk=\x07[red]=1+1"


def history_of(path: Path, key: int, *edits: Edit, person: str = "Kim") -> None:
    with Store(path, person=person) as store:
        for edit in edits:
            store.build(key).change(lambda build, edit=edit: edit)  # type: ignore[misc]


def test_every_table_has_the_page_that_shows_it() -> None:
    titles = {view.id: view.title for view in BUILD_VIEWS}
    assert set(PAGES) == {*Build.TABLES, "header"}
    assert set(PAGES.values()) <= set(titles.values())
    shown = {(spec.table, titles[spec.view]) for spec in build_tables.SPECS if spec.table}
    assert {(table, PAGES[table]) for table, _ in shown} <= shown


def test_a_length_is_told_as_it_is_shown(tmp_path: Path) -> None:
    """3 m is 9 ft 10 in (118.11 in), by hand."""
    path, key = new_store(tmp_path)
    history_of(path, key, set_length("r1", 3.0))
    with Store(path) as store:
        kept = store.build(key)
        newest, start = told(kept.open().document, kept.since(-1))
    assert (newest.person, newest.pages) == ("Kim", ("Distribution",))
    (step,) = newest.steps
    assert step.about.startswith("Length of")
    assert step.after.startswith("9 ft 10")
    assert values(newest) == f"{step.before} -> {step.after}"
    assert (start.label, start.steps) == ("created", ())


def test_an_edit_of_one_change_is_told_with_what_stood_there() -> None:
    """The screen saves one change as a batch of one, and what takes it back plainly."""
    build = start_build()
    battery = build.batteries[0]
    edit = SetField(table="batteries", id=battery.id, field="name", value="Front")
    _, inverse = apply(build, edit)
    (change,) = changes(Batch(label="", edits=(edit,)), inverse)
    assert (change.before, change.after) == (battery.name, "Front")
    assert battery.name


def test_only_what_changed_is_told(tmp_path: Path) -> None:
    path, key = new_store(tmp_path)
    same = SetField(table="header", field="customer", value="")
    history_of(path, key, Batch(label="both", edits=(same, set_length("r1", 3.0))))
    with Store(path) as store:
        kept = store.build(key)
        newest, _ = told(kept.open().document, kept.since(-1))
    assert [step.about[:9] for step in newest.steps] == ["Length of"]


def test_what_came_and_went_is_told_by_name() -> None:
    build = start_build()
    edit = add_amplifier(build, name="Front")
    after, inverse = apply(build, edit)
    found = {(each.what, each.table, each.after) for each in changes(edit, inverse)}
    assert ("added", "amplifiers", "Front") in found
    gone = {(each.what, each.table, each.before) for each in changes(inverse, edit)}
    assert ("removed", "amplifiers", "Front") in gone
    assert after.amplifiers[0].name == "Front"


@pytest.mark.parametrize(
    ("one", "other", "same"),
    [
        (("runs", "r1", "length_m"), ("runs", "r1", "length_m"), True),
        (("runs", "r1", "length_m"), ("runs", "r1", "fuse"), False),
        (("runs", "r1", "length_m"), ("runs", "r2", "length_m"), False),
        (("runs", "r1", ""), ("runs", "r1", "fuse"), True),
        (("runs", "", ""), ("runs", "r1", "fuse"), True),
        (("runs", "", ""), ("zones", "r1", ""), False),
    ],
)
def test_edits_meet_where_they_touch_the_same(
    one: tuple[str, str, str], other: tuple[str, str, str], same: bool
) -> None:
    assert meet(frozenset([one]), frozenset([other])) is same
    assert meet(frozenset([other]), frozenset([one])) is same


def test_an_edit_touches_what_it_changes() -> None:
    title = SetField(table="header", field="title", value="x")
    edit = Batch(edits=(title, RemoveRecord(table="zones", id="z1")))
    assert touched(edit) == {("header", "header", "title"), ("zones", "z1", "")}
    assert touched(AddRecord(table="zones", record={"id": "z9"})) == {("zones", "z9", "")}
    assert not meet(
        touched(MoveRecord(table="zones", id="z1", index=0)),
        touched(SetField(table="zones", id="z1", field="name", value="")),
    )
    assert not meet(touched(title), touched(SetField(table="header", field="notes", value="x")))


@pytest.fixture
def busy(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A store in which Kim and Lee have changed a build."""
    path, key = new_store(tmp_path)
    history_of(path, key, set_length("r1", 3.0), set_length("r2", 1.0))
    build = applied(start_build(), add_amplifier(start_build()))
    history_of(path, key, add_amplifier(start_build()), person="Lee")
    name = SetField(table="amplifiers", id=build.amplifiers[0].id, field="name", value=HOSTILE)
    history_of(path, key, name, person=HOSTILE)
    monkeypatch.setenv("MAINRUN_STORE", str(path))
    return path


def test_every_table_of_the_shop_has_the_page_that_shows_it() -> None:
    assert set(SHOP_PAGES) == set(Shop.TABLES)
    assert set(SHOP_PAGES.values()) == {view.title for view in SHOP_VIEWS}


def test_history_of_the_shop_is_printed(busy: Path, mainrun: Command) -> None:
    with Store(busy, person="Kim") as store:
        Stocking(store).replace_all(
            [CatalogueItem(name="Ferrules", group="Wire", price=Decimal("12.50"))]
        )
    with Store(busy, person="Lee") as store:
        item = store.shop().open().document.items[0]
        dearer = SetField(table="items", id=item.id, field="price", value="13.75")
        store.shop().change(lambda _: dearer)
    ended = mainrun("history", "--shop", "--page", "items", "--person", "lee")
    (line,) = (each for each in ended.out.splitlines() if "Lee" in each)
    assert "12.50 -> 13.75" in line
    assert "Kim" not in ended.out
    assert "13.75" not in mainrun("history", "1").out
    for asked in ((), ("1", "--shop")):
        ended = mainrun("history", *asked)
        assert (ended.code, ended.out) == (2, "")
        assert "name a build, or give --shop" in ended.err


def test_history_is_printed_newest_first(busy: Path, mainrun: Command) -> None:
    ended = mainrun("history", "1")
    assert ended.code == 0
    assert "\x1b" not in ended.out
    assert "\x07" not in ended.out
    revisions = [line.split()[0] for line in ended.out.splitlines() if line[:5].strip().isdigit()]
    assert revisions == ["4", "3", "2", "1", "0"]
    assert "Kim" in ended.out
    assert "9 ft 10" in ended.out
    assert max(map(len, ended.out.splitlines())) <= 100


def test_history_as_json_and_csv_holds_every_change(busy: Path, mainrun: Command) -> None:
    given = json.loads(mainrun("history", "1", "--json").out)
    assert [line["revision"] for line in given] == [4, 3, 2, 1, 0]
    assert all(line["at"].endswith("+00:00") for line in given)
    rows = list(csv.reader(io.StringIO(mainrun("history", "1", "--csv").out)))
    assert len(rows) == 1 + sum(max(1, len(line["steps"])) for line in given)
    assert not any(cell.startswith(("=", "+", "@")) for row in rows for cell in row)
    assert mainrun("history", "1", "--csv", "--json").code == 2


def test_history_is_narrowed(busy: Path, mainrun: Command) -> None:
    def found(*options: str) -> list[int]:
        ended = mainrun("history", "1", "--json", *options)
        return [line["revision"] for line in json.loads(ended.out)]

    assert found("--person", "kim") == [2, 1]
    assert found("--page", "amp") == [4, 3]
    assert found("--person", "Kim", "--page", "amp") == []
    assert found("--day", "1999-01-01") == []
    with Store(busy) as store:
        day = here(store.build(1).history()[0].at)[:10]
    assert len(found("--day", day)) == 5
    assert len(found("--day", day[:7])) == len(found("--day", day[:4])) == 5
    assert mainrun("history", "1", "--day", "1999-01-01") == Ended(0, "no such edits\n", "")
    said = mainrun("history", "1", "--person", "nobody")
    assert said.code == 0
    assert said.out.startswith("no such edits: those here are by ")
    assert "Kim" in said.out


@pytest.mark.parametrize(
    ("asked", "said"),
    [
        (["1", "--day", "foo"], "--day 'foo' is no day: give one as 2026-03-31"),
        (["1", "--day", "2026-02-31"], "is no day"),
        (["1", "--day", "2026-3-1"], "is no day"),
        (["1", "--day", "20260301"], "is no day"),
        (["1", "--day", "\x1b[2J"], "is no day"),
        (["1", "--page", "foo"], "take one of Battery, Amplifiers, Distribution, Grounds"),
        (["1", "--page", "Items"], "take one of Battery"),
        (["--shop", "--page", "Grounds"], "take one of Items, Times, Hole patterns, Kits"),
    ],
)
def test_a_day_that_is_none_and_a_page_that_is_none_are_refused(
    busy: Path, mainrun: Command, asked: list[str], said: str
) -> None:
    ended = mainrun("history", *asked)
    assert (ended.code, ended.out) == (2, "")
    assert said in ended.err
    assert ended.err.strip().isprintable()


def test_the_name_of_one_s_edits(
    tmp_path: Path, mainrun: Command, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("XDG_CONFIG_HOME", str(tmp_path))
    monkeypatch.delenv("MAINRUN_PERSON", raising=False)
    login = mainrun("person").out
    assert mainrun("person", "Kim").out == "Kim\n" == mainrun("person").out
    assert mainrun("person", "").out == login


def test_a_time_that_is_none_is_shown_as_it_stands() -> None:
    assert here("yesterday") == "yesterday"
    line = Told(1, "yesterday", "Kim", "", "x", (), ())
    assert Wanted(person="k").fits(line)
    assert not Wanted(page="Pack").fits(line)


def test_what_another_program_wrote_into_the_journal_is_harmless(
    busy: Path, mainrun: Command
) -> None:
    with closing(sqlite3.connect(busy)) as file:
        file.execute("UPDATE journal SET person = ?, label = ?", (HOSTILE, HOSTILE))
        file.commit()
    assert mainrun("history", "1").out.replace("\n", "").isprintable()
