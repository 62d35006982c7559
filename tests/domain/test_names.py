"""Copies are numbered: by hand."""

import pytest

from domain.document.names import free, numbered


@pytest.mark.parametrize(
    ("name", "taken", "copy"),
    [
        ("Amp 1", ["Amp 1"], "Amp 2"),
        ("Amp 1", ["Amp 1", "amp 2", "Amp 3"], "Amp 4"),
        ("Front", ["Front"], "Front 2"),
        ("Front", ["Front", "Front 2"], "Front 3"),
        ("2", ["2"], "2 2"),
        ("", ["", "x"], ""),
        ("x" * 500, [], "x" * 490 + " 2"),
    ],
)
def test_a_copy_has_the_next_free_number(name: str, taken: list[str], copy: str) -> None:
    assert numbered(name, taken) == copy


@pytest.mark.parametrize(
    ("name", "taken", "found"),
    [
        ("Van (recovered)", ["Van"], "Van (recovered)"),
        ("Van (recovered)", ["van (Recovered)"], "Van (recovered) 2"),
        ("x" * 500, [], "x" * 490),
    ],
)
def test_a_name_is_numbered_only_where_somebody_has_it(
    name: str, taken: list[str], found: str
) -> None:
    assert free(name, taken) == found
