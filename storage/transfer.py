"""One build as a JSON file: export, import, and the JSON Schema that describes the file.

The file is flat: "format" and "version", then the header and the record tables of a build under
their own names.
"""

import json
from collections.abc import Iterator
from functools import cache
from itertools import islice
from pathlib import Path
from typing import Any, Literal

from pydantic import BaseModel, Field, ValidationError, create_model

from domain.build.records import TABLES, Build, Header
from domain.build.schema import OF_24_V, of_24_v, schema_of
from domain.document.declared import BadEntry, declared
from domain.document.entry import Entry
from domain.document.models import built, model_of, refused
from domain.document.records import MOST_RECORDS
from domain.units.suffixes import unit_of
from storage.errors import TransferError
from storage.files import LARGEST_BYTES, read_bytes, write_beside
from storage.outline import check_outline

__all__ = ["TransferError", "build_schema", "export_build", "export_file", "import_build"]

FORMAT = "mainrun build"
PACK = "mainrun pack"
"""What the JSON of a pack says of itself: the build as it is exported stands in it."""
VERSION = 2
"""2: runs have a loom, and a bundle that may be auto."""
MOST_NAMES = 200
"""No object in a build file has more names."""
LEAST_NAMES = 3
"""Format, version and something of a build; an export names all, a file made by hand may not."""

_FILE_FIELDS = ("format", "version", *Build.__struct_fields__)


@cache
def _build_file() -> type[BaseModel]:
    """The model of a file."""
    own: dict[str, Any] = {
        "format": (
            Literal["mainrun build"],
            Field(title="Format", description="what this file is"),
        ),
        "version": (Literal[1, 2], Field(title="Version", description="version of the format")),
    }
    return create_model("BuildFile", __base__=model_of(Build), **own)


def export_build(build: Build) -> str:
    """A build as the text of a build file."""
    content = {"format": FORMAT, "version": VERSION, **build.plain()}
    return json.dumps(content, indent=2, ensure_ascii=False, allow_nan=False) + "\n"


def export_file(build: Build, path: Path) -> None:
    """Write a build file; an earlier file of that name is whole until the new one is."""
    write_beside(path, export_build(build))


def import_file(path: Path) -> Build:
    """Read a build file; raises ``TransferError`` as ``import_build`` does."""
    content = read_bytes(path)
    if len(content) > LARGEST_BYTES:
        raise _too_large()
    try:
        return import_build(content.decode("utf-8-sig"))
    except UnicodeDecodeError as error:
        raise TransferError(
            f"this is no build file: byte {error.start} is no UTF-8 text; choose a file that "
            "Mainrun exported"
        ) from error


def import_build(text: str) -> Build:
    """The build in the text of a build file, or of the JSON of a pack.

    Raises ``TransferError`` with a sentence that says where the file is wrong and how; a file is
    taken whole or not at all.
    """
    if len(text) > LARGEST_BYTES:
        raise _too_large()
    check_outline(text, MOST_RECORDS * len(TABLES) + 2, MOST_NAMES)
    content = _parsed(text)
    if content.get("format") == PACK and isinstance(content.get("build"), dict):
        content = content["build"]
        text = json.dumps(content)
    _check_format(content)
    _check_names(content)
    for table in TABLES:
        rows = content.get(table)
        if isinstance(rows, list) and len(rows) > MOST_RECORDS:
            raise TransferError(
                f"{table} holds {len(rows)} records, at most {MOST_RECORDS} are taken: split the "
                "build"
            )
    try:
        # Strict, so that only what the schema allows is taken ("12" is no length); from JSON,
        # because strict Python values would want enum members and tuples.
        file = _build_file().model_validate_json(text, strict=True)
    except ValidationError as error:
        bad = refused(error)
        problems = _of_24_volts(bad) or _problems(bad, content)
        raise TransferError(f"the build file is refused: {problems}") from error
    build = built(Build, file)
    return _bundles_left_alone(build) if content["version"] == 1 else build


def _bundles_left_alone(build: Build) -> Build:
    """In version 1 every run had a bundle, 1 if nobody typed another: that is auto now."""
    runs = tuple(run.but(bundle=None) if run.bundle == 1 else run for run in build.runs)
    return build.but(runs=runs)


def build_schema() -> dict[str, Any]:
    """The JSON Schema (draft 2020-12) of a build file, with titles, descriptions and units."""
    schema = _build_file().model_json_schema(mode="validation")
    schema.pop("description", None)
    properties = schema["properties"]
    schema["properties"] = {
        "format": properties.pop("format"),
        "version": properties.pop("version"),
        **properties,
    }
    for table, row in TABLES.items():
        properties[table]["maxItems"] = MOST_RECORDS
        properties[table]["description"] = (row.__doc__ or "").splitlines()[0]
    described: tuple[type[Entry], ...] = (Header, *TABLES.values())
    for record in described:
        for name, field in schema["$defs"][record.__name__]["properties"].items():
            field["title"] = declared(record)[
                name
            ].about.title  # dropped where a choice is called so
            _name_unit(name, field)
    return {
        "$schema": "https://json-schema.org/draft/2020-12/schema",
        **schema,
        "title": "Mainrun build file",
        "minProperties": LEAST_NAMES,
        "description": "One audio build in a vehicle: what the user entered, in SI units",
    }


def _name_unit(name: str, field: dict[str, Any]) -> None:
    if unit := unit_of(name):
        field["unit"] = unit
        field["description"] = f"{field['description']} [{unit}]"


def _too_large() -> TransferError:
    return TransferError(
        f"the file is larger than {LARGEST_BYTES // 1_000_000} MB, no build file is: choose a "
        "file that Mainrun exported"
    )


def _parsed(text: str) -> dict[str, Any]:
    try:
        content = json.loads(
            text, object_pairs_hook=_object, parse_constant=_refuse_constant, parse_float=_number
        )
    except json.JSONDecodeError as error:
        raise TransferError(
            f"this is no JSON: {error.msg} at line {error.lineno}, column {error.colno}; choose a "
            "file that Mainrun exported"
        ) from error
    except RecursionError as error:
        raise TransferError(
            "the file is nested too deeply to be a build file: choose a file that Mainrun exported"
        ) from error
    except ValueError as error:  # an integer of more digits than Python will read
        raise TransferError(
            "the file holds a number of thousands of digits: give a smaller one"
        ) from error
    if not isinstance(content, dict):
        raise _foreign()
    return content


def _object(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    content = dict(pairs)
    if len(content) < len(pairs):
        names = [name for name, _ in pairs]
        twice = next(name for name in names if names.count(name) > 1)
        raise TransferError(
            f"the name {twice!r} stands twice in one object: keep the one that is meant"
        )
    return content


def _refuse_constant(constant: str) -> None:
    raise TransferError(f"{constant} is no value that a field can have: give a number or null")


def _number(text: str) -> float:
    value = float(text)
    if abs(value) == float("inf"):
        raise TransferError(f"the number {text[:40]} is out of range: give a smaller one")
    return value


def _check_format(content: dict[str, Any]) -> None:
    if content.get("format") != FORMAT:
        raise _foreign()
    version = content.get("version")
    if isinstance(version, bool) or not isinstance(version, int) or version < 1:
        raise TransferError(f'the file has no usable version: "version" must be {VERSION}')
    if version > VERSION:
        raise TransferError(
            f"the file was written by a newer Mainrun (version {version}, this one reads up to "
            f"{VERSION}): update Mainrun to import it"
        )
    if len(content) < LEAST_NAMES:
        raise TransferError(
            "the file holds no build, neither a header nor any table: choose a file that Mainrun "
            "exported"
        )


def _check_names(content: dict[str, Any]) -> None:
    """Refuse names that no record has, before a check of each would say so of each."""
    unknown = list(islice(_unknown(content), 1000))
    if unknown:
        parts = [f"{_record(content, loc)} has no field {loc[-1][:60]!r}" for loc in unknown[:3]]
        rest = len(unknown) - 3
        more = f", and {rest} more" if rest > 0 else ""
        raise TransferError(
            "the build file is refused: "
            + "; ".join(parts)
            + more
            + ": remove what Mainrun does not know"
        )


def _unknown(content: dict[str, Any]) -> Iterator[tuple[Any, ...]]:
    """Where names stand that no record has."""
    yield from ((name,) for name in content if name not in _FILE_FIELDS)
    header = content.get("header")
    if isinstance(header, dict):
        yield from (("header", name) for name in header if name not in Header.__struct_fields__)
    for table, kind in TABLES.items():
        rows = content.get(table)
        for place, row in enumerate(rows if isinstance(rows, list) else ()):
            if isinstance(row, dict):
                known = kind.__struct_fields__
                yield from ((table, place, name) for name in row if name not in known)


def _foreign() -> TransferError:
    return TransferError(
        f'this is JSON but no Mainrun build file, which says "format": "{FORMAT}": `mainrun export '
        "BUILD FILE` writes one"
    )


def _of_24_volts(error: BadEntry) -> str:
    """One sentence where the file has a voltage that only a 24 V vehicle has; else ""."""
    for each in error.details:
        loc, value = each["loc"], each["input"]
        kind = TABLES.get(str(loc[0])) if len(loc) == 3 else None
        if kind is None or type(value) not in (int, float):
            continue
        if of_24_v(schema_of(kind, str(loc[2])), value):
            return f"it is of a 24 V system, with {value:g} V in {loc[0]}. {OF_24_V}"
    return ""


def _problems(error: BadEntry, content: dict[str, Any]) -> str:
    places = [each["loc"] for each in error.details]
    text = str(error)
    for loc in places[:3]:
        if len(loc) > 2:
            text = text.replace(f"{loc[0]}.{loc[1]}.", f"{_record(content, loc)}: ", 1)
    return text


def _record(content: Any, loc: tuple[int | str, ...]) -> str:
    """What to call the object that holds an unknown field: "runs r3", "header", "the file"."""
    if len(loc) == 1:
        return "the file"
    if len(loc) == 2:
        return str(loc[0])
    return f"{loc[0]} {content[loc[0]][loc[1]].get('id', loc[1])}"
