"""The sheet as JSON: whole, exactly as its schema says, and with a unit in every key."""

import json
from pathlib import Path
from typing import Any

import jsonschema

from demo_db.load import demo_builds
from domain.full_results import MOST_POINTS
from domain.units.suffixes import unit_of
from tests.tui.commanding import Command


def test_the_sheet_as_json_fits_the_published_schema(store: Path, mainrun: Command) -> None:
    """Checked by a JSON Schema validator (second method), which takes no key it does not know."""
    described = exactly(json.loads(mainrun("schema", "--sheet").out))
    for name in ("1", "2", "3"):
        read = json.loads(mainrun("sheet", name, "--format", "json").out)
        jsonschema.validate(read, described)
        assert len(read["drive"]["points"]) <= MOST_POINTS
        assert read["readings"]["predicted"]
    sheet = read["sheet"]
    assert {run["id"] for run in sheet["runs"]} == {run.id for run in demo_builds()[0][1].runs}
    assert all(sheet[name] for name in ("designs", "studies", "spots", "findings"))


def exactly(schema: Any) -> Any:
    """A schema whose objects take no other keys than those that they describe."""
    if isinstance(schema, list):
        return [exactly(each) for each in schema]
    if not isinstance(schema, dict):
        return schema
    closed = {"additionalProperties": False} if "properties" in schema else {}
    return {key: exactly(each) for key, each in schema.items()} | closed


def test_the_keys_of_the_sheet_carry_units_of_the_si(mainrun: Command) -> None:
    """A number whose key has no unit is a count, a share or a ratio, and its name says so."""
    plain = {
        *("depth", "efficiency", "margin", "wires", "rank", "bends", "quantity", "count"),
        *("bundle", "devices"),
        *("charge", "needed", "power_error", "order", "before", "remaining"),
        *(
            "shock_ratio",
            "heat_fraction",
            "quality",
            "response_ratio",
            "shaking_margin",
            "lasting_margin",
        ),
        *("shared_ratio",),
        *("minutes_to_half_idle", "minutes_to_half_cruise", "play_minutes"),
    }
    described = json.loads(mainrun("schema", "--sheet").out)
    found = {
        key
        for part in described["$defs"].values()
        for key, each in part.get("properties", {}).items()
        if {"number", "integer"} & types_in(each)
    }
    assert {"drop_v", "opens_far_s", "length_m", "stored_ah", "predicted_v"} | plain <= found
    assert {key for key in found - plain if not unit_of(key.removesuffix("_s3"))} == set()


def types_in(schema: dict[str, Any]) -> set[str]:
    """The types that a value or the values of an object may have."""
    ways = [schema, *schema.get("anyOf", [])]
    inner = [each["additionalProperties"] for each in ways if "additionalProperties" in each]
    return {str(each.get("type")) for each in (*ways, *inner)}
