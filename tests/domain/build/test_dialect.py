"""US and British words of one program; what people typed is left alone.

The pairs are those of vehicle body and wiring texts of both countries; where each is from stands
beside it in the table.
"""

import re

import pytest

from demo_db.load import demo_builds
from domain.build.choices import UnitHabit, Words
from domain.build.dialect import PAIRS, speech_of, words_of
from domain.build.edits import SetField, apply
from domain.build.records import Build, Header
from domain.build.start import start_build
from domain.evaluate import make_plan
from domain.full_results import full_results
from tui.report.sheet import text

US_ONLY = re.compile(r"(?<![\w-])(" + "|".join(pair.us for pair in PAIRS) + r")(?![\w-])", re.I)
UK_ONLY = re.compile(r"(?<![\w-])(" + "|".join(pair.uk for pair in PAIRS) + r")(?![\w-])", re.I)


def told(build: Build) -> str:
    """Everything that is said of a build, wrapped lines joined."""
    plan = make_plan(build)
    return " ".join(text(build, full_results(plan)).split())


def spoken(build: Build, words: Words | None) -> Build:
    return apply(build, SetField(table="header", id="", field="words", value=words))[0]


def nameless(build: Build) -> Build:
    """The build with nothing in it that somebody typed."""
    data = build.plain()
    for table in (*build.TABLES,):
        for record in data[table]:
            for field in ("name", "loom", "colour"):
                if field in record:
                    record[field] = "Lot" if field == "loom" and record[field] else ""
    data["header"] |= {"title": "T", "vehicle": "", "notes": "", "customer": ""}
    return Build.of(data)


def test_words_start_from_the_units() -> None:
    assert words_of(Header(units=UnitHabit.INCH)) is Words.US
    assert words_of(Header(units=UnitHabit.METRIC)) is Words.UK
    # Canada is metric and says hood; an inch shop may speak British.
    assert words_of(Header(units=UnitHabit.METRIC, words=Words.US)) is Words.US
    assert words_of(Header(units=UnitHabit.INCH, words=Words.UK)) is Words.UK


@pytest.mark.parametrize("name", [name for name, _ in demo_builds()])
def test_all_that_is_said_of_a_build_is_in_one_countrys_words(name: str) -> None:
    build = nameless(dict(demo_builds())[name])
    us, uk = told(spoken(build, Words.US)), told(spoken(build, Words.UK))
    # The slit tube is a loom in the US, too.
    assert not [word for word in UK_ONLY.findall(us) if word.lower() != "loom"]
    assert not US_ONLY.findall(uk)
    assert "ground" in us.lower()
    assert "earth" in uk.lower()
    assert re.sub(r"[^0-9]", "", us) == re.sub(r"[^0-9]", "", uk), "figures are the same"


def test_what_people_typed_is_never_changed() -> None:
    build = spoken(start_build("Gray trunk", words=Words.US), Words.UK)
    for field, value in (("notes", "the hood is aluminum"), ("vehicle", "Truck, gray")):
        build, _ = apply(build, SetField(table="header", id="", field=field, value=value))
    build, _ = apply(build, SetField(table="zones", id="z3", field="name", value="Trunk floor"))
    said = speech_of(build)
    kept = "Trunk floor: its ground; Gray trunk; the hood is aluminum"
    assert said(kept) == "Trunk floor: its earth; Gray trunk; the hood is aluminum"
    assert said("trunk and Trunk, COLOR") == "boot and Boot, COLOUR"
    assert said(said(kept)) == said(kept)


def test_columns_stay_in_their_columns() -> None:
    said = speech_of(spoken(start_build(), Words.UK))
    assert said("color     red") == "colour    red"
    assert said("harness   two") == "loom      two"
    assert said("ground") == "earth"
    assert said("its interrupting\n    rating") == "its breaking\n    capacity"
    assert said("a Rocker panel, split loom") == "a Sill, split convoluted tubing"


def test_a_new_build_names_things_in_its_own_words() -> None:
    us, uk = start_build(), start_build(units=UnitHabit.METRIC)
    assert {point.name for point in us.grounds} == {"Battery ground", "Rear ground"}
    assert {point.name for point in uk.grounds} == {"Battery earth", "Rear earth"}


def test_a_new_build_has_no_place_that_some_vehicles_lack() -> None:
    """A van, a truck and an estate car have no trunk."""
    build = start_build()
    names = [*(zone.name for zone in build.zones), *(point.name for point in build.grounds)]
    assert [name for name in names if "trunk" in name.casefold()] == []
