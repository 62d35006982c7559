"""What a quote says is included: everything new in the build, and nothing that is there already."""

from domain.build import actions, kits
from domain.build.choices import Isolates
from domain.build.records import Build
from domain.document.records import label
from domain.evaluate import evaluate
from domain.money.included import included
from tests.domain.electrical.small import changed, small_build


def lines(build: Build) -> list[str]:
    return list(included(build, evaluate(build)))


def with_all() -> Build:
    build = small_build()
    build = actions.applied(build, kits.battery_behind(build, Isolates.RELAY))
    build = actions.applied(build, kits.battery_behind(build, Isolates.CONVERTER))
    build = actions.applied(build, actions.add(build, "appliances", name="Cap", kind="capacitor"))
    build = actions.applied(build, actions.add(build, "appliances", name="Fridge", power_w=60.0))
    build = actions.applied(build, actions.add(build, "alternators", name="Second alternator"))
    return actions.applied(build, kits.inverter(build))


def test_all_that_is_new_is_told() -> None:
    build = with_all()
    said = lines(build)
    assert "Battery 2: AGM battery, 70 Ah, mounted and joined" in said
    assert "Isolator of Battery 2: isolator, relay, 140 A" in said
    assert any(s.startswith("Charger of Battery 3: DC-DC charger, 40 A") for s in said)
    assert "Cap: capacitor, 1 F, mounted and joined" in said
    assert "Fridge: 60 W, mounted and fed" in said
    assert any(s.startswith("Second alternator: alternator") for s in said)
    assert any(s.startswith("Inverter: 1000 W") or s.startswith("Inverter: 1 kW") for s in said)
    assert any(s.startswith("Main run: wire, 14 ft 9.2 in of ") for s in said)
    assert any(s.startswith("Main block: fused distribution block, 4 places") for s in said)
    assert any("Rear ground" in s for s in said if s.startswith("Ground points"))
    assert any(s.startswith("Remote leads: ") for s in said)
    # whatever is new stands in it by its name: batteries and alternators but the first, and blocks
    new = [each.id for each in (*build.batteries[1:], *build.alternators[1:], *build.blocks)]
    new += [each.id for each in (*build.amplifiers, *build.appliances)]
    for id in new:
        assert any(s.startswith(f"{label(build, id)}: ") for s in said), id


def test_what_the_vehicle_has_is_not_in_it() -> None:
    build = with_all()
    said = lines(build)
    there = [run for run in evaluate(build).runs if run.existing]
    assert there
    names = [build.batteries[0].name, build.alternators[0].name, *(run.name for run in there)]
    assert not [s for s in said if s.split(": ")[0] in names]
    kept = changed(build, ("runs", "r4", "existing", True), ("runs", "r4", "gauge", "AWG 1/0"))
    assert not [s for s in lines(kept) if s.startswith("Main run")]
