"""What may be added at a device: each as one edit that is made, or refused with a sentence."""

import pytest

from domain.build import actions, kits
from domain.build.additions import additions
from domain.build.choices import LoadKind, Polarity
from domain.build.edits import EditRefused, apply
from domain.build.records import Build
from domain.evaluate import evaluate
from domain.findings import Level
from tests.domain.electrical.small import small_build


@pytest.mark.parametrize(
    ("device", "plus"), [("", True), ("d1", True), ("b1", True), ("e1", False)]
)
def test_each_is_made_and_taken_back(device: str, plus: bool) -> None:
    build = small_build()
    for said, make in additions(build, device, plus):
        after, inverse = apply(build, make(build))
        assert after != build, said
        assert apply(after, inverse)[0] == build, said


def test_what_is_fed_from_a_device_hangs_on_it() -> None:
    build = small_build()
    for said, make in additions(build, "b1"):
        if said.endswith("fed from here"):
            after = actions.applied(build, make(build))
            had = {run.id for run in build.runs}
            feeds = [
                run.source
                for run in after.runs
                if run.id not in had and run.polarity is Polarity.POSITIVE
            ]
            assert feeds == ["b1"], said


@pytest.mark.parametrize("device", ["", "d1", "b1"])
def test_an_inverter_comes_with_all_that_its_command_brings(device: str) -> None:
    # by the rule that an edit which adds a device names nothing of its own in the findings
    build = small_build()
    make = next(make for said, make in additions(build, device) if said.startswith("an inverter"))
    after, kit = (actions.applied(build, edit) for edit in (make(build), kits.inverter(build)))
    (added,) = after.appliances
    assert added == kit.appliances[0]
    assert (added.kind, added.idle_a > 0) == (LoadKind.INVERTER, True)
    assert not [f for f in evaluate(after).findings if f.level is not Level.NOTE]


@pytest.mark.parametrize("what", ["behind a relay", "behind a DC-DC charger", "a bank of four"])
def test_without_a_battery_what_needs_one_is_refused_in_a_sentence(what: str) -> None:
    make = next(make for said, make in additions(Build()) if what in said)
    with pytest.raises(EditRefused, match="add that one first"):
        make(Build())
