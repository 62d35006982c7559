"""Build files: what goes out comes in again (conservation), and what is refused."""

import json
import os
import tracemalloc
from functools import cache
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from hypothesis import given, settings

from domain.build.records import TABLES, Header
from domain.build.start import start_build
from domain.document.entry import Entry
from domain.units.suffixes import unit_of
from storage.transfer import (
    TransferError,
    build_schema,
    export_build,
    export_file,
    import_build,
    import_file,
)
from tests.storage.store.builds import Change, changes, large_build, random_build

DEMOS = Path(__file__).parents[2] / "demo_db"
HEAD = '"format": "mainrun build", "version": 1'


def _file(**tables: Any) -> str:
    return json.dumps({"format": "mainrun build", "version": 1, **tables})


@cache
def by_schema() -> Any:
    """Holds a file against the published schema."""
    return jsonschema.Draft202012Validator(build_schema())


@settings(max_examples=60, deadline=None)
@given(changes())
def test_what_is_exported_is_imported_and_obeys_the_schema(described: list[Change]) -> None:
    build = random_build(described)
    text = export_build(build)
    assert import_build(text) == build
    by_schema().validate(json.loads(text))


def test_a_file_is_written_and_read(tmp_path: Path) -> None:
    path = tmp_path / "build.json"
    export_file(large_build(), path)
    assert import_file(path) == large_build()
    path.write_bytes(b"\xef\xbb\xbf" + path.read_bytes())  # as some editors save it
    assert import_file(path) == large_build()


@pytest.mark.parametrize("path", sorted(DEMOS.glob("*.json")), ids=lambda path: path.stem)
def test_the_demo_builds_obey_the_schema(path: Path) -> None:
    by_schema().validate(json.loads(path.read_text("utf-8")))
    build = import_file(path)
    assert build.amplifiers
    assert import_build(export_build(build)) == build


def test_a_short_file_takes_the_defaults() -> None:
    build = import_build(_file(zones=[{"id": "z1", "name": "Boot"}]))
    assert build.zones[0].ambient_c == 50
    assert build.header.title == "New build"


def test_a_file_of_the_first_version_leaves_bundles_of_1_to_the_loom() -> None:
    # In it every run had a bundle, 1 unless somebody typed another.
    rows = [{"id": "r1", "bundle": 1}, {"id": "r2", "bundle": 3}, {"id": "r3"}]
    assert [run.bundle for run in import_build(_file(runs=rows)).runs] == [None, 3, None]
    newer = _file(runs=rows).replace('"version": 1', '"version": 2')
    assert [run.bundle for run in import_build(newer).runs] == [1, 3, None]


def test_the_schema_says_what_a_field_is_and_its_unit() -> None:
    schema = build_schema()
    jsonschema.Draft202012Validator.check_schema(schema)
    assert schema["$schema"] == "https://json-schema.org/draft/2020-12/schema"
    assert schema["title"] == "Mainrun build file"
    assert set(schema["properties"]) == {"format", "version", "header", *TABLES}
    length = schema["$defs"]["Run"]["properties"]["length_m"]
    assert (length["title"], length["unit"]) == ("Length", "m")
    described: tuple[type[Entry], ...] = (Header, *TABLES.values())
    for record in described:
        for name, field in schema["$defs"][record.__name__]["properties"].items():
            assert field["title"], name
            assert field["description"], name
            if unit_of(name):
                assert field["unit"] == unit_of(name), name


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("", r"no JSON: Expecting value at line 1, column 1"),
        ('{\n  "format": nope}', r"no JSON: Expecting value at line 2, column 13"),
        (f"{{{HEAD}, }}", r"no JSON: .* at line 1"),
        ("[1, 2]", r"no Mainrun build file"),
        (
            '{"format": "other", "version": 1}',
            r"no Mainrun build file.*`mainrun export ",
        ),
        ('{"format": "mainrun pack", "version": 1, "build": []}', r"no Mainrun build file"),
        ('{"format": "mainrun pack", "build": {"format": 1}}', r"no Mainrun build file"),
        (
            f'{{"format": "mainrun pack", "build": {_file(runs=[{"id": "r7", "lenght_m": 1}])}}}',
            r"runs r7 has no field 'lenght_m'",
        ),
        ('{"format": "mainrun build"}', r"no usable version"),
        ('{"format": "mainrun build", "version": true}', r"no usable version"),
        ('{"format": "mainrun build", "version": 3}', r"newer Mainrun \(version 3.*update"),
        (_file(), r"holds no build, neither a header nor any table"),
        (_file(extra=1), r"the file has no field 'extra'"),
        (_file(header={"price": 1}), r"header has no field 'price'"),
        (_file(runs=[{"id": "r7", "lenght_m": 1}]), r"runs r7 has no field 'lenght_m'"),
        (f'{{{HEAD}, "runs": [{{"id": "r1", "length_m": NaN}}]}}', r"NaN is no value"),
        (f'{{{HEAD}, "runs": [{{"id": "r1", "length_m": -Infinity}}]}}', r"-Infinity is no value"),
        (f'{{{HEAD}, "runs": [{{"id": "r1", "length_m": 1e999}}]}}', r"1e999 is out of range"),
        (f'{{{HEAD}, "runs": {"9" * 5000}}}', r"number of thousands of digits"),
        (_file(runs=[{"id": "r1", "length_m": -1}]), r"runs r1: length_m: .*greater than 0"),
        (_file(runs=[{"id": "r1", "length_m": "12"}]), r"runs r1: length_m: .*valid number"),
        (_file(runs=[{"id": "r1", "fused": 1}]), r"runs r1: fused: .*valid boolean"),
        (_file(runs=[{"id": "r1", "metal": "gold"}]), r"runs r1: metal: .*'copper'"),
        (_file(runs=[{"id": "r1", "target": "a9"}]), r"runs r1: target names a9, which is not"),
        (_file(runs=[{"id": "r1"}, {"id": "r1"}]), r"id r1 is there twice"),
        (_file(runs=[{"length_m": 1}]), r"runs 0: id: field required"),
        (_file(runs={"r1": {}}), r"runs: .*valid (array|tuple)"),
        (_file(runs=[3]), r"runs.0: .*object"),
        (_file(runs=[{"id": f"r{n}"} for n in range(10_000)]), r"runs holds 10000 .*most 5000"),
        (f'{{{HEAD}, "runs": [], "runs": []}}', r"'runs' stands twice"),
        (f'{{{HEAD}, "header": {{"title": "a", "title": "b"}}}}', r"'title' stands twice"),
        ("[" * 100_000, r"nested too deeply"),
        (f'{{{HEAD}, "runs": {"[" * 400}{"]" * 400}}}', r"recursion limit|nested"),
        (f'{{{HEAD}, "header": {{"title": "\\ud800"}}}}', r"refused: Invalid JSON"),
        (" " * 20_000_001, r"larger than 20 MB"),
    ],
)
def test_a_file_that_is_refused(text: str, sentence: str) -> None:
    with pytest.raises(TransferError, match=sentence) as refused:
        import_build(text)
    assert "\n" not in str(refused.value)
    assert len(str(refused.value)) < 400


def _unknown_names(many: int, shift: str = "") -> str:
    return ", ".join(f'"name {shift}{n}": 0' for n in range(many))


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        (f"{{{HEAD}, {_unknown_names(100_000)}}}", "more than 200 names"),
        (f'{{{HEAD}, "header": {{{_unknown_names(100_000)}}}}}', "more than 200 names"),
        (f'{{{HEAD}, "runs": [{", ".join(["{}"] * 200_000)}]}}', "more than [0-9]+ objects"),
        (f'{{"x": [{", ".join(["{}"] * 200_000)}], {HEAD}}}', "more than [0-9]+ objects"),
        (
            f'{{{HEAD}, "runs": [{", ".join([f"{{{_unknown_names(180)}}}"] * 600)}]}}',
            "runs 0 has no field 'name 0'; .*, and 997 more: remove",
        ),
    ],
)
def test_what_nobody_could_have_meant_costs_nothing(text: str, sentence: str) -> None:
    """Refused with less memory than 20 times the text, where each complaint took a kilobyte."""
    tracemalloc.start()
    try:
        with pytest.raises(TransferError, match=sentence) as refused:
            import_build(text)
        assert tracemalloc.get_traced_memory()[1] < 20 * len(text)
    finally:
        tracemalloc.stop()
    assert len(str(refused.value)) < 400


def test_signs_in_a_text_are_no_objects_and_no_names() -> None:
    title = '{:"' * 120 + "\\" + '"'
    assert import_build(_file(header={"title": title})).header.title == title


def test_a_file_that_cannot_be_read(tmp_path: Path) -> None:
    with pytest.raises(TransferError, match="cannot be read: No such file"):
        import_file(tmp_path / "missing.json")
    with pytest.raises(TransferError, match="cannot be read: Is a directory"):
        import_file(tmp_path)
    os.mkfifo(tmp_path / "pipe")
    with pytest.raises(TransferError, match="is no file: name one, or give - and pipe it in"):
        import_file(tmp_path / "pipe")
    (tmp_path / "latin.json").write_bytes(b'{"format": "\xe9"}')
    with pytest.raises(TransferError, match="byte 12 is no UTF-8"):
        import_file(tmp_path / "latin.json")
    with (tmp_path / "huge.json").open("wb") as file:
        file.truncate(20_000_001)
    with pytest.raises(TransferError, match="larger than 20 MB"):
        import_file(tmp_path / "huge.json")


def test_the_largest_build_goes_out_and_in() -> None:
    build = start_build()
    zone = build.zones[0].plain()
    zones = [{**zone, "id": f"z{n}"} for n in range(1, 5001)]
    text = json.dumps({**json.loads(export_build(build)), "zones": zones})
    assert len(import_build(text).zones) == 5000


@pytest.mark.parametrize(
    "changed",
    [
        # what vehicles of 24 V have: 28.4 V charging, 24 V rated, 21 V cut off
        {"alternators": [{"id": "g1", "regulated_v": 28.4}]},
        {
            "alternators": [{"id": "g1", "regulated_v": 28}],
            "batteries": [{"id": "b1", "capacity_ah": -1.0}],
        },
        {"amplifiers": [{"id": "a1", "lowest_v": 21.0, "channel_w": -1.0}]},
        {"appliances": [{"id": "v1", "rated_v": 24.0}]},
    ],
)
def test_a_file_of_a_24_volt_system_is_refused_in_one_clear_sentence(
    changed: dict[str, Any],
) -> None:
    with pytest.raises(TransferError, match="24 V systems are not planned") as refused:
        import_build(_file(**changed))
    assert "plan the 12 V side" in str(refused.value)
    assert "less than" not in str(refused.value)
    # no voltage that a 24 V vehicle has is refused by its limits, as before
    with pytest.raises(TransferError) as other:
        import_build(_file(alternators=[{"id": "g1", "regulated_v": 99.0}]))
    assert "24 V" not in str(other.value)
