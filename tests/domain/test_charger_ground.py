"""A DC-DC charger without a ground lead: the edit that gives it one.

Expected by definition: the finding is gone, and the lead goes where its battery is grounded.
"""

from domain.build.actions import applied
from domain.build.choices import Polarity
from domain.build.edits import RemoveRecord
from domain.build.grounding import ungrounded
from domain.build.kits import KITS
from domain.build.start import start_build
from domain.evaluate import evaluate
from domain.mending import mend


def test_the_edit_grounds_it_where_its_battery_is_grounded() -> None:
    build = start_build("Van")
    kit = next(kit for kit in KITS if kit.id == "battery_behind_charger")
    build = applied(build, kit.make(build))
    charger = next(block for block in build.blocks if block.isolates)
    assert ungrounded(build) == ()
    lead = next(
        run for run in build.runs if run.source == charger.id and run.polarity is Polarity.GROUND
    )
    build = applied(build, RemoveRecord(table="runs", id=lead.id))
    assert ungrounded(build) == (charger.id,)
    finding = next(f for f in evaluate(build).findings if f.code == "charger-ground")
    edit = mend(build, finding)
    assert edit is not None
    after = applied(build, edit)
    assert all(f.code != "charger-ground" for f in evaluate(after).findings)
    assert after.runs[-1].target == lead.target
