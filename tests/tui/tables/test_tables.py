"""The tables' schema: every field can be reached, shown and typed again; trees are drawn right."""

from contextlib import suppress

import pytest

from domain.build.actions import add, applied
from domain.build.choices import Polarity
from domain.build.edits import EditRefused, SetField, apply
from domain.build.kits import KITS
from domain.build.records import TABLES, Build, Header
from domain.build.start import start_build
from domain.evaluate import evaluate
from domain.fabrication.presets import preset
from tui.tables.build_tables import SPECS, place_of
from tui.tables.run_tree import limbs
from tui.tables.table_spec import TableSpec
from tui.widgets.grid import cells_of, resolved


def one_of_each() -> Build:
    build = start_build()
    for table in (
        *("amplifiers", "parts", "panels", "holes", "footprints", "studs", "mounts"),
        *("curves", "legs", "spots"),
    ):
        build = applied(build, add(build, table))
    return build


EDITED = [spec for spec in SPECS if spec.table]
"""Tables of records; the others are computed."""


@pytest.mark.parametrize("spec", EDITED, ids=lambda spec: spec.id)
def test_every_field_has_a_cell(spec: TableSpec) -> None:
    record_type = Header if spec.table == "header" else TABLES[spec.table]
    build = one_of_each()
    for field in record_type.__struct_fields__:
        if field in ("id", "polarity"):
            continue
        if spec.table == "header":
            row = next(r for r in spec.rows(build, evaluate(build), "") if r.id == field)
            assert row.column.field == field
        else:
            assert spec.column_for(field) is not None, field


def test_a_run_that_is_no_longer_there_is_sized_anew() -> None:
    build = start_build()
    (ground,) = (run for run in build.runs if run.id == "r3")
    assert ground.existing
    assert ground.gauge is not None
    spec = next(spec for spec in SPECS if spec.id == "ground_runs")
    column = spec.column_for("existing")
    assert column is not None
    for edit in (column.typed(build, ground, "no"), column.stepped(build, ground)):
        assert edit is not None
        laid, back = apply(build, edit)
        (anew,) = (run for run in laid.runs if run.id == "r3")
        assert (anew.existing, anew.gauge) == (False, None)
        assert apply(laid, back)[0] == build
    # what is new already keeps the size that was typed, whatever is said again
    typed = applied(laid, SetField(table="runs", id="r3", field="gauge", value="AWG 2"))
    (anew,) = (run for run in typed.runs if run.id == "r3")
    assert applied(typed, column.typed(typed, anew, "no")) == typed


@pytest.mark.parametrize("spec", SPECS, ids=lambda spec: spec.id)
def test_what_a_cell_opens_with_can_be_confirmed(spec: TableSpec) -> None:
    # Shown text typed again must be taken: a cell opened and confirmed never complains.
    build = one_of_each()
    sheet = evaluate(build)
    for record in spec.rows(build, sheet, ""):
        for column in spec.columns:
            actual, subject = resolved(column, build, record)
            if actual.editable and not actual.options(build, subject):
                apply(build, actual.typed(build, subject, actual.opened(build, sheet, subject)))


@pytest.mark.parametrize("spec", EDITED, ids=lambda spec: spec.id)
def test_every_finding_place_is_a_cell(spec: TableSpec) -> None:
    build = one_of_each()
    rows = cells_of(spec, build, evaluate(build), "")
    for id, _ in rows:
        for column in spec.columns:
            if not column.field.startswith("·"):
                field = id if spec.table == "header" else column.field
                found = place_of(build, spec.table, id, field)
                assert found is not None
                assert found[0] is spec


@pytest.mark.parametrize("spec", SPECS, ids=lambda spec: spec.id)
def test_every_key_on_every_cell_gives_an_edit_that_can_be_made_or_none(spec: TableSpec) -> None:
    """Delete, space, = and enter on whatever cell the cursor is on."""
    build = one_of_each()
    sheet = evaluate(build)
    for record in spec.rows(build, sheet, ""):
        for column in spec.columns:
            actual, subject = resolved(column, build, record)
            if not actual.editable:
                continue
            edits = [actual.given_back(subject), actual.stepped(build, subject)]
            if actual.optional:
                edits.append(actual.pinned(build, sheet, subject))
            edits += [edit for _, edit in actual.options(build, subject)]
            for edit in filter(None, edits):
                with suppress(EditRefused):
                    assert apply(build, edit)[0].TABLES == TABLES


def test_a_run_s_loom_is_typed_and_its_bundle_follows() -> None:
    # By hand: two runs that share a word lie together; what the engine counts has the mark ~.
    build = applied(start_build(), add(start_build(), "amplifiers"))
    spec = next(spec for spec in SPECS if spec.id == "runs")
    word, bundle = spec.column_for("loom"), spec.column_for("bundle")
    assert word is not None
    assert bundle is not None
    *_, main, feed = spec.rows(build, evaluate(build), "")
    for run in (main, feed):
        assert bundle.shown(build, evaluate(build), run) == "~1"
        build, _ = apply(build, word.typed(build, run, " Sill"))
    sheet = evaluate(build)
    *_, main, feed = spec.rows(build, sheet, "")
    assert [word.shown(build, sheet, run) for run in (main, feed)] == ["Sill", "Sill"]
    assert [bundle.shown(build, sheet, run) for run in (main, feed)] == ["~2", "~2"]
    build, _ = apply(build, bundle.typed(build, feed, "3"))
    *_, feed = spec.rows(build, sheet, "")
    assert bundle.shown(build, evaluate(build), feed) == "3"
    assert bundle.typed(build, feed, "~").value is None  # type: ignore[union-attr]


def test_limbs_stay_open_while_siblings_follow() -> None:
    # Drawn by hand.
    assert limbs([0, 0, 1, 2, 2, 1, 0]) == ["", "", "├─", "│ ├─", "│ └─", "└─", ""]


def test_the_root_panel_shows_no_bend() -> None:
    # by definition: the root panel joins nothing
    build = start_build()
    build = applied(build, preset(build, "L"))
    sheet, (root, upright) = evaluate(build), build.panels
    column = next(c for c in SPECS if c.id == "panels").columns[4]
    assert column.field == "bend_deg"
    assert (column.shown(build, sheet, root), column.shown(build, sheet, upright)) == (
        "-",
        "90 deg",
    )
    with pytest.raises(EditRefused, match="joins no other"):
        column.typed(build, root, "45")


def test_what_is_said_of_a_cell_fits_what_it_takes() -> None:
    build = start_build()
    columns = [column for spec in SPECS for column in spec.columns]
    made = next(c for c in columns if c.title == "Made in")
    # a year is no 4; the limits beside it are those of the record
    assert "a whole number; at least 1990" in made.described(build)
    # the fuse's sentence has room on a terminal of 80, with its margins
    assert len(next(c for c in columns if c.field == "fuse_a").described(build)) < 79


def test_what_counts_for_a_rating_that_nobody_told_is_shown() -> None:
    """Left open, it counts as the plate's, as the field's own help says."""
    build = start_build()
    hot = next(c for s in SPECS if s.id == "alternators" for c in s.columns if c.field == "hot")
    shown = [
        hot.shown(build, evaluate(build), build.alternators[0].but(hot=h)) for h in (None, True)
    ]
    assert shown == ["~no", "yes"]


def test_a_fuse_at_the_far_end_alone_is_not_called_none() -> None:
    build = start_build()
    build = applied(build, add(build, "batteries"))
    link = next(run for run in build.runs if run.target == build.batteries[-1].id)
    fuse = next(c for s in SPECS if s.id == "runs" for c in s.columns if c.field == "fuse_a")
    told = []
    for near, far in ((False, True), (False, False)):
        run = link.but(fused=near, far_fused=far)
        told.append(fuse.shown(build, evaluate(build), run))
        # What opens in the cell can be confirmed as it is.
        assert apply(build, fuse.typed(build, run, fuse.opened(build, evaluate(build), run)))
    assert told == ["at end", "no"]
    assert told[0] in fuse.described(build)


def test_what_does_not_apply_is_nothing_and_not_left_to_be_chosen() -> None:
    kit = next(kit for kit in KITS if kit.id == "battery_behind_relay")
    build = applied(one_of_each(), kit.make(one_of_each()))
    isolator = next(block for block in build.blocks if block.isolates)
    build = applied(build, SetField(table="blocks", id=isolator.id, field="isolates", value=None))
    sheet = evaluate(build)
    column = next(c for spec in SPECS if (c := spec.column_for("isolates")))
    kinds = {spec.id: c for spec in SPECS if (c := spec.column_for("fuse_family"))}
    for block in build.blocks:
        # by the field's own help: auto, a relay
        assert column.shown(build, sheet, block) == ("~relay" if block.id == isolator.id else "-")
    bare = {"-": 0, "~": 0}
    for run in build.runs:
        if run.fuse_family is None:
            kind = kinds["ground_runs" if run.polarity is Polarity.GROUND else "runs"]
            bare[kind.shown(build, sheet, run)[:1]] += 1
            fused = run.fused or run.far_fused
            assert kind.shown(build, sheet, run).startswith("~" if fused else "-")
    assert all(bare.values())
