"""Switching leads: who drives them, what they carry, and the relay where that is too much.

A head unit's remote output gives some tenths of an ampere. What hangs on it is summed along the
leads (Kirchhoff); where it is more than the output gives, a relay takes it over: then the output
feeds its coil alone, and the leads are fed through its contact and a fuse (common practice).
Signal and loudspeaker leads are sized and measured here too, and nothing flows in them.
"""

from collections.abc import Iterator
from functools import lru_cache
from math import sqrt

from msgspec.structs import replace

from domain.build.choices import (
    FuseFamily,
    Insulation,
    LeadKind,
    LoadKind,
    Metal,
    SwitchedBy,
    UnitHabit,
)
from domain.build.record_kinds.lead_records import Lead, RemoteOutput
from domain.build.records import Amplifier, Appliance, Block, Build
from domain.document.kept import kept
from domain.document.records import find, label
from domain.electrical import ampacity, conductors, fuses
from domain.electrical.network.run_conductor import NO_ZONE_C
from domain.reference.planning import planned
from domain.routes.lengths import way_length
from domain.routes.ways import Way, lead_ways
from domain.sheet import LeadResult, RemoteResult
from domain.units.unit_table import INCH

RELAY_FUSE = FuseFamily.BLADE_C
"""Family of the fuse that feeds a relay: what is at every counter. Common practice."""

_METAL, _INSULATION = Metal.COPPER, Insulation.T105
"""Wire of leads: what vehicle wire of this size is sold as. Common practice."""


def _bears_on(build: Build, *given: object) -> tuple[object, ...]:
    """All but the runs: of these the leads ask only whether one feeds a load without music."""
    tables = [getattr(build, table) for table in _TABLES]
    return build.header, build.runs if build.appliances else (), *tables, *given


_TABLES = tuple(table for table in Build.TABLES if table != "runs")


@kept(4, by=_bears_on)
def remote_results(build: Build) -> tuple[RemoteResult, ...]:
    """Every remote output, with what hangs on it."""
    return tuple(_remote(build, remote) for remote in build.remotes)


@kept(4, by=_bears_on)
def lead_results(build: Build, remotes: tuple[RemoteResult, ...]) -> tuple[LeadResult, ...]:
    """The wires of each relay, then every lead, remote ones first."""
    known = {remote.id: remote for remote in remotes}
    found: list[LeadResult] = []
    for remote in build.remotes:
        if known[remote.id].relay:
            found += _relay_wires(build, remote, known[remote.id])
    kinds = list(LeadKind)
    ordered = sorted(build.leads, key=lambda lead: kinds.index(lead.kind))
    return (*found, *(_lead(build, lead, known) for lead in ordered))


def limit_a(remote: RemoteOutput) -> float:
    """The most that an output gives [A]: as entered, else usual for its kind."""
    if remote.limit_a is not None:
        return remote.limit_a
    return planned(usual_limit(remote))


def usual_limit(remote: RemoteOutput) -> str:
    """The planning value of what an output of its kind gives."""
    return "remote_output_a" if remote.kind is SwitchedBy.HEAD_UNIT else "remote_tap_a"


def draws_a(build: Build, lead: Lead) -> float:
    """What the device at the end of a remote lead takes [A]: as entered, else usual for it.

    An amplifier, or a load with a feed of its own, takes what its switching input does; an isolator
    what a relay's coil does; what is fed by the lead alone what runs it.
    """
    if lead.kind is not LeadKind.REMOTE:
        return 0.0
    if lead.draws_a is not None:
        return lead.draws_a
    device = find(build, lead.target) if lead.target else None
    if isinstance(device, Block):
        return planned("relay_coil_a")
    if isinstance(device, Appliance) and not any(r.target == device.id for r in build.runs):
        return _runs_on_a(device)
    return planned("remote_small_a" if device is None else "remote_input_a")


def carried_a(build: Build, lead: Lead) -> float:
    """What flows in a remote lead [A]: its own device's, and that of all leads handed on there."""
    found, seen, reach = 0.0, {lead.id}, [lead]
    while reach:
        here = reach.pop()
        found += draws_a(build, here)
        for onward in _handed_on(build, here.target):
            if onward.id not in seen:
                seen.add(onward.id)
                reach.append(onward)
    return found


def output_of(build: Build, lead: Lead) -> str:
    """The remote output that a lead is fed from, through what hands it on; "" if none."""
    seen: set[str] = set()
    here: Lead | None = lead
    while here is not None and here.id not in seen:
        seen.add(here.id)
        if here.source.startswith("t"):
            return here.source
        ending = _by_ends(build.leads)[1]
        here = next(iter(ending.get(here.source, ())), None) if here.source else None
    return ""


def remote_leads(build: Build) -> Iterator[Lead]:
    """The leads that switch."""
    return (lead for lead in build.leads if lead.kind is LeadKind.REMOTE)


def relay_feed(build: Build, remote: RemoteOutput) -> str:
    """What feeds its relay: as chosen, else the first block that distributes, else a battery."""
    if remote.feed:
        return remote.feed
    blocks = [b.id for b in build.blocks if b.kind.distributes]
    return next(iter([*blocks, *(b.id for b in build.batteries)]), "")


def guarded_a(remote: RemoteResult | None, relay: bool = True) -> float:
    """What may flow for good into a short on a lead of an output [A].

    The rating of the relay's fuse where a relay feeds it, else the most that the output gives.
    """
    if remote is None:
        return 0.0
    return remote.fuse_a if relay and remote.fuse_a is not None else remote.limit_a


def _handed_on(build: Build, device: str) -> list[Lead]:
    return _by_ends(build.leads)[0].get(device, []) if device else []


@kept(16)
def _by_ends(leads: tuple[Lead, ...]) -> tuple[dict[str, list[Lead]], dict[str, list[Lead]]]:
    """The leads that switch by where they begin, and by where they end."""
    beginning: dict[str, list[Lead]] = {}
    ending: dict[str, list[Lead]] = {}
    for lead in leads:
        if lead.kind is LeadKind.REMOTE:
            beginning.setdefault(lead.source, []).append(lead)
            ending.setdefault(lead.target, []).append(lead)
    return beginning, ending


def _runs_on_a(appliance: Appliance) -> float:
    """What a small load draws that the lead itself feeds [A]."""
    if appliance.kind is LoadKind.CAPACITOR:
        return appliance.idle_a
    return appliance.power_w / appliance.rated_v + appliance.idle_a


def _remote(build: Build, remote: RemoteOutput) -> RemoteResult:
    own = [lead for lead in remote_leads(build) if lead.source == remote.id]
    total = sum(carried_a(build, lead) for lead in own)
    most = limit_a(remote)
    relay = total > most * (1 + 1e-9) if remote.relay is None else remote.relay
    least = max(fuses.least_rating_a(total, total, NO_ZONE_C), planned("relay_fuse_a"))
    fuse = fuses.smallest(least, RELAY_FUSE) if relay else None
    return RemoteResult(
        id=remote.id,
        name=label(build, remote.id),
        devices=sum(output_of(build, lead) == remote.id for lead in remote_leads(build)),
        devices_a=total,
        given_a=planned("relay_coil_a") if relay else total,
        limit_a=most,
        limit_auto=remote.limit_a is None,
        relay=relay,
        relay_auto=remote.relay is None,
        fuse_a=fuse[0] if fuse else None,
        feed=relay_feed(build, remote) if relay else "",
    )


def _relay_wires(build: Build, remote: RemoteOutput, result: RemoteResult) -> Iterator[LeadResult]:
    """The wire to its coil, its fused feed, and its ground."""
    name = f"{result.name} relay"
    coil = planned("relay_coil_a")
    fed = label(build, result.feed) if result.feed else "not told yet"
    body = "a ground point beside it"
    coil_guard = guarded_a(result, relay=False)
    for part, ends, entered, usual, amperes in (
        ("coil", (result.name, f"{name}, 86"), remote.coil_m, "main", coil),
        ("feed", (fed, f"{name}, 30"), remote.feed_m, "branch", result.devices_a),
        ("ground", (f"{name}, 85", body), None, "ground", coil),
    ):
        length = entered if entered is not None else _usual_m(build, usual)
        fuse = result.fuse_a if part == "feed" else None
        guard = {"feed": fuse or 0.0, "coil": coil_guard}.get(part, 0.0)
        gauge = _thinnest(build, max(amperes, guard))
        yield _result(
            LeadResult(
                id=f"{remote.id}.{part}",
                name=f"{name}, {part}",
                kind=LeadKind.REMOTE.value,
                source=ends[0],
                target=ends[1],
                count=1,
                length_m=length,
                length_auto=entered is None,
                wire_m=_with_slack(length),
                gauge=gauge,
                gauge_auto=True,
                carries_a=amperes,
                fuse_a=fuse,
            )
        )


def _lead(build: Build, lead: Lead, known: dict[str, RemoteResult]) -> LeadResult:
    remote = known.get(output_of(build, lead)) if lead.kind is LeadKind.REMOTE else None
    behind_relay = remote is not None and remote.relay
    way = None if behind_relay else lead_ways(build).get(lead.id)
    routed = way_length(build, way) if way else None
    length = lead.length_m
    if length is None:
        length = routed.length_m if routed else _assumed_m(build, lead, behind_relay)
    carries = carried_a(build, lead) if lead.kind is LeadKind.REMOTE else None
    gauge = lead.gauge or ""
    if lead.gauge is None and lead.kind is LeadKind.REMOTE:
        gauge = _thinnest(build, max(carries or 0.0, guarded_a(remote)))
    elif lead.gauge is None and lead.kind is LeadKind.SPEAKER:
        gauge = _speaker_gauge(build, lead, length)
    source = label(build, lead.source) if lead.source else "head unit"
    if behind_relay and lead.source == (remote.id if remote else ""):
        source = f"{source} relay, 87"
    return _result(
        LeadResult(
            id=lead.id,
            name=build.name_of(lead),
            kind=lead.kind.value,
            source=source,
            target=label(build, lead.target) if lead.target else lead.name or "not told yet",
            count=lead.count,
            length_m=length,
            length_auto=lead.length_m is None and (routed is None or routed.assumed),
            wire_m=_with_slack(length),
            gauge="" if lead.kind is LeadKind.SIGNAL else gauge,
            gauge_auto=lead.gauge is None,
            carries_a=carries,
            draw_auto=lead.draws_a is None,
        )
    )


def followed(build: Build, id: str) -> Way | None:
    """The way that a lead's length follows; ``None``: it was measured, or is assumed."""
    lead = find(build, id)
    if not isinstance(lead, Lead) or lead.length_m is not None:
        return None
    remote = output_of(build, lead) if lead.kind is LeadKind.REMOTE else ""
    relayed = any(each.id == remote and each.relay for each in remote_results(build))
    return None if relayed else lead_ways(build).get(id)


def _result(lead: LeadResult) -> LeadResult:
    """With what it holds and what is lost along it, where a current flows in it."""
    if lead.carries_a is None or not lead.gauge:
        return lead
    ohm = conductors.resistance_ohm(lead.gauge, _METAL, lead.wire_m, NO_ZONE_C)
    return replace(lead, drop_v=ohm * lead.carries_a, holds_a=holds_a(lead.gauge))


@lru_cache(maxsize=256)
def holds_a(gauge: str) -> float:
    """What the wire of a lead carries for good in a cabin [A]."""
    return ampacity.ampacity_a(gauge, _METAL, _INSULATION, NO_ZONE_C, 1)


def _thinnest(build: Build, least_a: float) -> str:
    """The thinnest wire in stock from the usual size of remote leads on that holds so much."""
    sizes = conductors.stock(build.header.wire_sizes)
    thick = [s for s in sizes if conductors.area_mm2(s) >= planned("remote_wire_mm2")]
    return next((size for size in thick if holds_a(size) >= least_a), thick[-1])


def _speaker_gauge(build: Build, lead: Lead, length_m: float) -> str:
    """The thinnest in stock that loses little and holds the current of a channel.

    There and back not above a twentieth of the loudspeaker's ohms, else its damping and level
    suffer (common practice); I = sqrt(P / R) at the rated power of a channel.
    """
    ohm = planned("speaker_ohm")
    most = planned("speaker_lead_share") * ohm
    amplifier = find(build, lead.source) if lead.source else None
    watts = amplifier.channel_w if isinstance(amplifier, Amplifier) else 0.0
    amperes = sqrt(watts / ohm)
    sizes = [
        size
        for size in conductors.stock(build.header.wire_sizes)
        if conductors.area_mm2(size) >= planned("speaker_wire_mm2")
    ]
    for size in sizes:
        both_ways = 2 * conductors.resistance_ohm(size, _METAL, length_m, 20.0)
        if both_ways <= most and holds_a(size) >= amperes:
            return size
    return sizes[-1]


def _with_slack(length_m: float) -> float:
    return length_m + max(length_m * planned("slack_fraction"), planned("slack_least_m"))


def _assumed_m(build: Build, lead: Lead, behind_relay: bool) -> float:
    """A lead that is not measured: through the vehicle, or a short way from relay or neighbour."""
    from_device = lead.source[:1] in ("a", "v") and lead.kind is not LeadKind.SPEAKER
    return _usual_m(build, "branch" if behind_relay or from_device else "main")


def assumed(build: Build, length_m: float) -> tuple[str, float]:
    """The planning value of a lead's assumed length, and metres in its unit."""
    inch = build.header.units is UnitHabit.INCH
    unit, factor = ("in", INCH.factor) if inch else ("m", 1.0)
    names = [f"assumed_{which}_{unit}" for which in ("main", "branch", "ground")]
    return min(names, key=lambda name: abs(planned(name) * factor - length_m)), factor


def _usual_m(build: Build, which: str) -> float:
    if build.header.units is UnitHabit.INCH:
        return planned(f"assumed_{which}_in") * INCH.factor
    return planned(f"assumed_{which}_m")
