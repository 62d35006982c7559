"""A drop that cannot be met says what holds the wires back."""

from domain.build.actions import add_amplifier, applied
from domain.build.edits import SetField
from domain.build.records import Build
from domain.build.start import start_build
from domain.evaluate import evaluate


def _why(build: Build) -> str:
    return next(f.why for f in evaluate(build).findings if f.code == "drop")


def _loud(**values: str) -> Build:
    build = start_build()
    for watts in (1500.0, 1500.0, 800.0):
        build = applied(build, add_amplifier(build, channel_w=watts, **values))
    return build


def test_terminals_that_take_no_more() -> None:
    # by the rule of terminals: the block's input ends at 1/0, so the main run cannot grow
    small = SetField(table="blocks", id="d1", field="largest_in", value="AWG 1/0")
    assert "Main block takes 1/0 AWG at most" in _why(applied(_loud(), small))


def test_a_pinned_wire() -> None:
    # by definition: a pinned gauge is never changed
    pinned = applied(_loud(), SetField(table="runs", id="r4", field="gauge", value="AWG 2"))
    assert "Main run is set by hand to 2 AWG" in _why(pinned)


def test_the_end_of_the_stock() -> None:
    # by the stock: 4/0 is the thickest wire listed
    wide = applied(
        _loud(largest_wire="AWG 4/0"),
        SetField(table="blocks", id="d1", field="largest_in", value="AWG 4/0"),
        SetField(table="blocks", id="d1", field="largest_out", value="AWG 4/0"),
        SetField(table="runs", id="r4", field="length_m", value=30.0),
    )
    assert "4/0 AWG is the thickest in stock" in _why(wide)
