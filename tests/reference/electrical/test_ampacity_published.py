"""Ampacity against 33 CFR 183.425, the NEC's free-air rows and ISO 10133."""

from math import sqrt

import pytest
from hypothesis import given
from hypothesis import strategies as st

from domain.build.choices import Insulation, Metal
from domain.electrical import ampacity, conductors
from tests.reference.published import rows

OTHER = rows("ampacity_other")
CLASSES = {str(int(each.celsius)): each for each in Insulation}


@pytest.mark.parametrize(
    "row",
    [row for row in rows("cfr_33_183_425_table_5") if row["insulation_c"] in CLASSES],
    ids=lambda row: f"{row['awg']} at {row['insulation_c']}",
)
def test_every_cell_of_table_5(row: dict[str, str]) -> None:
    # source: 33 CFR 183.425 Table 5; the 200 C column has no counterpart in a build
    insulation = CLASSES[row["insulation_c"]]
    gauge = f"AWG {row['awg']}"
    assert ampacity.base_ampacity(gauge, insulation) == (
        float(row["current_a"]),
        insulation.celsius,
        float(row["ambient_c"]),
    )
    in_place = ampacity.ampacity_a(gauge, Metal.COPPER, insulation, 30, 1)
    assert in_place == pytest.approx(float(row["current_a"]), rel=1e-12)


def test_table_5_is_whole() -> None:
    # source: 33 CFR 183.425 Table 5: 18 to 4/0 in 15 sizes less those it leaves out, 7 classes
    table = rows("cfr_33_183_425_table_5")
    sizes = {row["awg"] for row in table}
    assert len(table) == len(sizes) * 7
    assert sizes >= set(conductors.AWG_STOCK)


@pytest.mark.parametrize(
    "row",
    [row for row in OTHER if row["table"].startswith("NEC") and row["insulation_c"] in CLASSES],
    ids=lambda row: f"{row['size']} at {row['insulation_c']}",
)
def test_free_air_rows_as_a_band(row: dict[str, str]) -> None:
    # source: NEC free-air table as printed in Lessons In Electric Circuits, DC: the same rows,
    # from which Table 5 is rounded down in the thin sizes; never above it
    current, _, _ = ampacity.base_ampacity(row["size"], CLASSES[row["insulation_c"]])
    assert 0.66 <= current / float(row["current_a"]) <= 1.0


@pytest.mark.parametrize(
    "row",
    [row for row in OTHER if row["table"].startswith("ISO")],
    ids=lambda row: f"{row['size']} at {row['insulation_c']}",
)
def test_metric_rows(row: dict[str, str]) -> None:
    # source: ISO 10133 Table A.1 (from memory); its 70 C column serves 75 and 80 C insulation,
    # its 85 C column serves 90 C
    serves = {"60": "60", "70": "75", "85": "90", "105": "105", "125": "125"}
    if row["insulation_c"] not in serves:
        return
    insulation = CLASSES[serves[row["insulation_c"]]]
    current, class_c, table_c = ampacity.base_ampacity(row["size"], insulation)
    assert (current, class_c, table_c) == (
        float(row["current_a"]),
        float(row["insulation_c"]),
        float(row["ambient_c"]),
    )


@pytest.mark.parametrize(
    ("metric", "awg"), [("2.5 mm2", "14"), ("4 mm2", "12"), ("16 mm2", "6"), ("50 mm2", "1/0")]
)
def test_metric_and_awg_agree_as_a_band(metric: str, awg: str) -> None:
    # second method: ampacity goes about with area^0.65 between neighbouring sizes
    # (slope of Table 5 itself, 18 to 4/0 at 105 C: ln(445/20)/ln(107.2/0.823) = 0.637)
    first, _, _ = ampacity.base_ampacity(metric, Insulation.T105)
    second, _, _ = ampacity.base_ampacity(f"AWG {awg}", Insulation.T105)
    scaled = second * (conductors.area_mm2(metric) / conductors.area_mm2(f"AWG {awg}")) ** 0.637
    assert 0.85 < first / scaled < 1.15


@pytest.mark.parametrize("row", rows("cfr_33_183_425_note_1"), ids=lambda row: row["insulation_c"])
def test_engine_space_factors(row: dict[str, str]) -> None:
    # source: 33 CFR 183.425 Table 5 note 1 (from memory), 50 C; at 200 C it gives 1.0 and the
    # square root less, which is the safe side
    class_c = float(row["insulation_c"])
    factor = ampacity.ambient_factor(class_c, 50, 30)
    if class_c < 200:
        assert factor == pytest.approx(float(row["factor"]), abs=0.01)
    else:
        assert factor <= float(row["factor"])


def test_ambient_correction_worked_by_hand() -> None:
    # second method: equal rise per square ampere. AWG 4 at 105 C carries 160 A from 30 C: 75 K.
    # In an engine bay of 60 C 45 K are left: 160 sqrt(45/75) = 123.935 A
    here = ampacity.ampacity_a("AWG 4", Metal.COPPER, Insulation.T105, 60, 1)
    assert here == pytest.approx(123.935, abs=0.001)
    # three together at 0.7, and copper-clad aluminium of 62.9 % IACS: sqrt(0.01724/0.02743)
    clad = ampacity.ampacity_a("AWG 4", Metal.CCA, Insulation.T105, 60, 3)
    assert clad == pytest.approx(123.935 * 0.7 * sqrt(0.017241 / 0.02743), abs=0.001)
    # at 80 A and 60 C: a quarter of the rise that 160 A make, 60 + 75/4
    warm = ampacity.temperature_c(80, "AWG 4", Metal.COPPER, Insulation.T105, 60, 1)
    assert warm == pytest.approx(78.75, abs=1e-9)


@pytest.mark.parametrize(
    ("count", "factor"),
    [(1, 1.0), (2, 0.7), (3, 0.7), (4, 0.6), (6, 0.6), (7, 0.5), (24, 0.5), (25, 0.4), (100, 0.4)],
)
def test_bundle_factors(count: int, factor: float) -> None:
    # source: ABYC E-11 and 33 CFR 183.425 Table 5 note 2 (from memory)
    assert ampacity.bundle_factor(count) == factor


def test_no_ampacity_at_or_above_the_insulation_class() -> None:
    # by definition: insulation that is already at its limit leaves nothing for the current
    for ambient in (80, 81, 200):
        assert ampacity.ampacity_a("AWG 4", Metal.COPPER, Insulation.T80, ambient, 1) == 0
    assert ampacity.ampacity_a("AWG 20", Metal.COPPER, Insulation.T105, 30, 1) == 0


GAUGES = [f"AWG {name}" for name in conductors.AWG_STOCK] + [
    f"{area:g} mm2" for area in conductors.METRIC_STOCK
]


@given(
    st.sampled_from(GAUGES),
    st.sampled_from(Metal),
    st.sampled_from(Insulation),
    st.floats(-40, 59),
    st.integers(1, 30),
)
def test_at_its_ampacity_a_wire_is_at_its_class(
    gauge: str, metal: Metal, insulation: Insulation, ambient: float, bundle: int
) -> None:
    # conservation: the two functions are each other's inverse
    carries = ampacity.ampacity_a(gauge, metal, insulation, ambient, bundle)
    _, class_c, _ = ampacity.base_ampacity(gauge, insulation)
    reached = ampacity.temperature_c(carries, gauge, metal, insulation, ambient, bundle)
    assert reached == pytest.approx(class_c, abs=1e-6)
    cooler = ampacity.ampacity_a(gauge, metal, insulation, ambient - 5, bundle)
    assert cooler > carries
