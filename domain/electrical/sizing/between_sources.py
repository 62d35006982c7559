"""What runs carry between batteries and alternators, and how much of it beside the loads."""

from math import inf
from typing import NamedTuple

from domain.build.records import Build
from domain.document.records import find
from domain.electrical import capacitors, charging, sources
from domain.electrical.network.wiring import Wiring, wiring


class Between(NamedTuple):
    """What flows through a run between sources [A], and what that and the loads come to at most.

    An alternator's current goes once, as charge or as music: on the way to a further battery both
    together are no more than all alternators give, with what evens the batteries out on top.
    """

    amperes: float = 0.0
    most_a: float = inf

    def beside(self, loads_a: float) -> float:
        """What the run carries when loads draw this through it [A]."""
        return max(loads_a, self.amperes, min(loads_a + self.amperes, self.most_a))


NOTHING_BESIDE = Between()
"""What most runs carry beside the loads."""


def between_sources(build: Build) -> dict[str, Between]:
    """What runs between sources must carry beside the loads, by run id.

    At an alternator its output; from where its own runs end to the nearest battery no more than
    that battery and the vehicle take. On the way to each further battery the greatest of its
    charge and of what evens the batteries out.
    """
    joined = wiring(build)
    found = _from_alternators(build, joined)
    for run, more in _to_batteries(build, joined).items():
        found[run] = Between(found.get(run, NOTHING_BESIDE).amperes + more.amperes, more.most_a)
    for run, amperes in capacitors.lead_a(build, joined).items():
        found[run] = Between(found.get(run, NOTHING_BESIDE).amperes + amperes)
    return found


def charging_a(build: Build) -> dict[str, float]:
    """What runs between batteries and alternators carry beside the loads, by run id [A]."""
    joined = wiring(build)
    found = {run: more.amperes for run, more in _from_alternators(build, joined).items()}
    for run, more in _to_batteries(build, joined).items():
        found[run] = found.get(run, 0.0) + more.amperes
    return found


def _from_alternators(build: Build, joined: Wiring) -> dict[str, Between]:
    given = _given_a(build, joined)
    vehicle = sum(g.vehicle_load_a for g in build.alternators)
    extra: dict[str, float] = {}
    for id, way in joined.charging.items():
        for run in way:
            record = find(build, run)
            near = record is not None and id in (record.source, record.target)
            battery = build.batteries[0] if build.batteries else None
            takes = sources.greatest_charge_a(battery) + vehicle if battery else 0.0
            more = given.get(id, 0.0) if near else min(given.get(id, 0.0), takes)
            extra[run] = extra.get(run, 0.0) + more
    return {run: Between(amperes) for run, amperes in extra.items()}


def _to_batteries(build: Build, joined: Wiring) -> dict[str, Between]:
    together: dict[str, float] = {}
    alone: dict[str, float] = {}
    evening: dict[str, float] = {}
    output = sum(_given_a(build, joined).values())
    for id, runs in joined.links.items():
        battery = next(b for b in build.batteries if b.id == id)
        charge = charging.link_current_a(build, battery, output)
        charge = max(charge, charging.charger_gives_a(build, runs))
        for run, each in charging.link_currents_a(build, runs, charge).items():
            together[run] = together.get(run, 0.0) + each
            alone[run] = max(alone.get(run, 0.0), each)
        levels = charging.link_current_a(build, battery, 0.0)
        for run, each in charging.link_currents_a(build, runs, levels).items():
            evening[run] = evening.get(run, 0.0) + each
    found = {}
    for run, amperes in together.items():
        # several batteries share what the alternators give; what evens them out adds up
        most = max(output, alone[run])
        found[run] = Between(max(min(amperes, most), evening[run]), most + evening[run])
    return found


def _given_a(build: Build, joined: Wiring) -> dict[str, float]:
    return {g.id: g.rated_a for g in build.alternators if g.id not in joined.idle}
