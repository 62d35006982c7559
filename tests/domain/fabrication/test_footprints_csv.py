"""Footprints between builds and as a CSV file: what goes out comes back."""

import csv
import io

import pytest
from hypothesis import given
from hypothesis import strategies as st

from domain.build.actions import add, applied
from domain.build.edits import EditRefused, apply
from domain.build.records import Build, Footprint, Stud
from domain.build.start import start_build
from domain.csv_cells import CsvRefused
from domain.fabrication.footprints.csv_file import COLUMNS, footprints_csv, read_footprints
from domain.fabrication.footprints.exchange import (
    copy_of,
    footprint_name,
    kept_footprint,
    measured,
    taken_footprint,
)
from domain.shop.shop import Shop

HEADER = ",".join(COLUMNS)
LENGTHS = st.floats(1e-6, 5, allow_nan=False)
PLACES = st.floats(-5, 5, allow_nan=False)


def device() -> Build:
    """A build with an amplifier of 205 x 120 mm on four M5 feet."""
    build = start_build()
    build = applied(build, add(build, "amplifiers", name="Front"))
    build = applied(
        build,
        add(
            build,
            "footprints",
            name="Front amp feet",
            device="a1",
            mass_kg=1.8,
            length_m=0.205,
            width_m=0.12,
        ),
    )
    for x in (0.01, 0.195):
        for y in (0.01, 0.11):
            build = applied(build, add(build, "studs", x_m=x, y_m=y))
    return build


def test_a_file_by_hand() -> None:
    # what a person types in a spreadsheet: the device once, then a row a foot
    text = (
        f"{HEADER}\n"
        "Small amp,1.8,205,120,50,3,10,10,clearance,M5,16\n"
        "Small amp,,,,,,195,-10,tapped,,\n"
        "Bare,,80,60,,,,,,,\n"
    )
    library = read_footprints(text)
    small, bare = library.footprints
    assert (small.mass_kg, small.length_m, small.foot_m) == (1.8, 0.205, 0.003)
    assert (bare.length_m, bare.width_m, bare.height_m) == (0.08, 0.06, 0.05)
    assert [(s.x_m, s.y_m, s.kind.value, s.thread, s.screw_m) for s in library.studs] == [
        (0.01, 0.01, "clearance", "M5", 0.016),
        (0.195, -0.01, "tapped", "M5", None),
    ]
    assert {s.footprint for s in library.studs} == {small.id}


@given(
    st.lists(
        st.tuples(
            st.text(min_size=1, max_size=8).filter(str.strip),
            LENGTHS,
            st.lists(st.tuples(PLACES, PLACES, st.none() | st.floats(1e-5, 0.5)), max_size=3),
        ),
        max_size=4,
        unique_by=lambda each: Footprint(id="f1", name=each[0].strip()).name,
    )
)
def test_any_library_goes_out_and_comes_back(
    rows: list[tuple[str, float, list[tuple[float, float, float | None]]]],
) -> None:
    footprints: list[Footprint] = []
    studs: list[Stud] = []
    for place, (name, length, feet) in enumerate(rows, 1):
        device = {"id": f"f{place}", "name": name.strip(), "length_m": length}
        footprints.append(Footprint.of(device))
        for x, y, screw in feet:
            studs.append(
                Stud(id=f"u{len(studs) + 1}", footprint=f"f{place}", x_m=x, y_m=y, screw_m=screw)
            )
    library = Build(footprints=tuple(footprints), studs=tuple(studs))
    again = read_footprints(footprints_csv(library))
    assert [f.name for f in again.footprints] == [f.name for f in library.footprints]
    for before, after in zip(library.footprints, again.footprints, strict=True):
        assert measured(again, after.id) == measured(library, before.id)


@pytest.mark.parametrize("name", ["=1+1", "@sum", "+1", "-2", "[bold]x", "a,b;c", "'=x"])
def test_no_spreadsheet_runs_a_name(name: str) -> None:
    # OWASP, "CSV Injection": cells that begin with = + - @ are run (from memory)
    library = Build(footprints=(Footprint(id="f1", name=name),))
    text = footprints_csv(library)
    cell = list(csv.reader(io.StringIO(text)))[1][0]
    assert cell[0] not in "=+@"
    assert cell in (name, f"'{name}")
    assert read_footprints(text).footprints[0].name == name


@pytest.mark.parametrize(
    ("row", "said"),
    [
        (",1,2,3,4,5,,,,,", "line 2: footprint: a name is missing"),
        ("A,x,2,3,4,5,,,,,", "line 2: mass kg: 'x' is no number"),
        ("A,1,-2,3,4,5,,,,,", "length_m: input should be greater than 0"),
        ("A,1,2,3,4,5,10,,,,", "line 2: stud up mm: a number is missing"),
        ("A,1,2,3,4,5,10,10,welded,,", "line 2: kind"),
        ("A,1,2,3,4,5,9999,10,,,", "line 2: x_m"),
        ("A,1,2,3,4,5,,,,,\nA,1,2,9,4,5,,,,,", "line 3: across mm: 9 here, but line 2 says 3"),
        ("A,1,2", "line 2: 3 cells under 11 columns"),
    ],
)
def test_a_bad_row_is_named(row: str, said: str) -> None:
    with pytest.raises(CsvRefused, match=said.replace("(", r"\(")) as refused:
        read_footprints(f"{HEADER}\n{row}\n")
    assert "nothing was taken" in str(refused.value)


def test_what_is_taken_from_the_shop_is_a_copy_of_its_own() -> None:
    build = device()
    shop, _ = apply(Shop(), kept_footprint(Build(), build, "f1", "Front amp feet"))
    assert measured(shop.library, "f1") == measured(build, "f1")
    assert shop.library.footprints[0].device == ""
    after = applied(build, taken_footprint(build, shop.library, "f1"))
    new = next(each for each in after.footprints if each.id == "f2")
    assert (new.name, new.device) == ("Front amp feet", "")
    assert measured(after, "f2") == measured(build, "f1")
    assert len(after.studs) == 8
    # the library's own changes do not reach it, nor its the library
    assert after.but(footprints=build.footprints, studs=build.studs) == build


def test_keeping_again_takes_the_place_of_the_one_of_that_name() -> None:
    build = device()
    shop, _ = apply(Shop(), kept_footprint(Build(), build, "f1", "Feet"))
    heavier = build.but(footprints=(build.footprints[0].but(mass_kg=2.5),))
    shop, inverse = apply(shop, kept_footprint(shop.library, heavier, "f1", "Feet"))
    assert [f.mass_kg for f in shop.library.footprints] == [2.5]
    assert len(shop.library.studs) == 4
    shop, _ = apply(shop, inverse)
    assert [f.mass_kg for f in shop.library.footprints] == [1.8]


def test_a_footprint_without_a_name_is_called_after_its_device() -> None:
    build = applied(device(), add(device(), "footprints", name=""))
    nameless = build.footprints[0].but(name=" ")
    build = build.but(footprints=(nameless, build.footprints[1]))
    assert footprint_name(build, "f1") == "Front"
    assert footprint_name(build, "f2") == "Hole pattern 2"
    with pytest.raises(EditRefused, match="no hole pattern 'r1'"):
        copy_of(build, "r1", Build(), "X")
