"""Does each remote output give what hangs on it, and is every device switched by just one?"""

from collections.abc import Iterator

from domain.build.choices import LeadKind
from domain.build.record_kinds.lead_records import Lead
from domain.checks.context import Context
from domain.electrical.switching import guarded_a, output_of, remote_leads
from domain.findings import Finding, Level
from domain.sheet import LeadResult, RemoteResult
from domain.units.gauges import gauge_text

PRACTICE = "common practice"


def findings(c: Context) -> Iterator[Finding]:
    """Findings about remote outputs and the leads that hang on them."""
    for remote in c.remotes:
        yield from _output(c, remote)
    for lead in remote_leads(c.build):
        yield from _lead(c, lead)
    yield from _switched_twice(c)
    yield from _not_switched(c)
    for result in c.leads:
        yield from _too_thin(c, result)


def _output(c: Context, r: RemoteResult) -> Iterator[Finding]:
    if r.given_a > r.limit_a * (1 + 1e-9):
        yield Finding(
            Level.FIX,
            "remote-over",
            f"{r.name} must give {c.amps(r.given_a)}, more than it can",
            f"{r.devices} on its leads draw {c.amps(r.devices_a)}; it gives {c.amps(r.limit_a)}"
            + (" (usual, not entered)" if r.limit_auto else "")
            + (f", and the coil of a relay takes {c.amps(r.given_a)}" if r.relay else ""),
            "switch from another output, with a relay fed from the battery"
            if r.relay
            else "let a relay feed the leads: leave Relay on auto, or choose yes",
            f"{PRACTICE}: the output stage of a head unit burns out",
            "remotes",
            r.id,
            "limit_a" if r.relay else "relay",
        )
    elif r.relay and r.relay_auto and r.limit_auto:
        yield Finding(
            Level.NOTE,
            "remote-limit",
            f"{r.name}: what does its remote output give?",
            f"its leads draw {c.amps(r.devices_a)}, and {c.amps(r.limit_a)} is usual: so a "
            "relay is planned",
            "look it up in its manual and enter it: with more, no relay is needed",
            f"{PRACTICE}: 0.2 to 0.5 A, from memory",
            "remotes",
            r.id,
            "limit_a",
        )
    if r.relay and not r.feed:
        yield Finding(
            Level.FIX,
            "remote-relay-unfed",
            f"{r.name}: nothing feeds its relay",
            "there is neither battery nor block that its contact could be fed from",
            "add a battery, or choose what feeds the relay",
            PRACTICE,
            "remotes",
            r.id,
            "feed",
        )
    if r.relay and r.fuse_a is None:
        yield Finding(
            Level.FIX,
            "remote-relay-fuse",
            f"{r.name}: its leads draw {c.amps(r.devices_a)}, too much for one relay",
            "no blade fuse is large enough for its feed",
            "feed the large loads by runs of their own, and switch those",
            PRACTICE,
            "remotes",
            r.id,
            "relay",
        )


def _lead(c: Context, lead: Lead) -> Iterator[Finding]:
    if not output_of(c.build, lead):
        yield Finding(
            Level.FIX,
            "remote-loose",
            f"Nothing switches {c.name(lead.id)}",
            "its beginning leads back to no remote output"
            if lead.source
            else "it is not told where it begins",
            "choose a remote output at From, or a device that is switched by one",
            "by definition",
            "leads",
            lead.id,
            "source",
        )
    if not lead.target and not lead.name:
        yield Finding(
            Level.NOTE,
            "lead-nowhere",
            f"{c.name(lead.id)} leads nowhere yet",
            "neither a device at its end nor a name for what it goes to",
            "choose a device at To, or name the lead after what it goes to",
            "by definition",
            "leads",
            lead.id,
            "target",
        )


def _switched_twice(c: Context) -> Iterator[Finding]:
    """Two outputs on one terminal feed each other."""
    by_device: dict[str, list[Lead]] = {}
    for lead in remote_leads(c.build):
        if lead.target:
            by_device.setdefault(lead.target, []).append(lead)
    for device, leads in by_device.items():
        outputs = sorted({output_of(c.build, lead) for lead in leads} - {""})
        if len(outputs) > 1:
            yield Finding(
                Level.FIX,
                "remote-joined",
                f"{c.name(device)} is switched by {' and '.join(map(c.name, outputs))}",
                "both outputs meet at its terminal: the one that is on feeds back into the other, "
                "and all that it feeds is on too",
                "remove one of the leads, or put a diode into each",
                PRACTICE,
                "leads",
                leads[-1].id,
                "source",
            )


def _not_switched(c: Context) -> Iterator[Finding]:
    """An amplifier that nothing switches, where others are switched."""
    switched = {lead.target for lead in remote_leads(c.build)}
    amplifiers = [a for a in c.build.amplifiers if a.id not in switched]
    if len(amplifiers) == len(c.build.amplifiers):
        return  # a plan that says nothing of switching
    for amplifier in amplifiers:
        yield Finding(
            Level.NOTE,
            "remote-missing",
            f"{c.name(amplifier.id)}: what switches it on?",
            "other amplifiers have a remote lead, this one has none",
            "add a remote lead to it, if it does not switch by the signal",
            PRACTICE,
            "amplifiers",
            amplifier.id,
            "name",
        )


def _too_thin(c: Context, r: LeadResult) -> Iterator[Finding]:
    """A wire that was chosen by hand must hold what flows, and the fuse of the relay ahead."""
    if r.kind != LeadKind.REMOTE.value or r.holds_a is None or r.gauge_auto:
        return
    lead = next((each for each in c.build.leads if each.id == r.id), None)
    output = output_of(c.build, lead) if lead else ""
    remote = next((each for each in c.remotes if each.id == output), None)
    guard = guarded_a(remote)
    asked = max(r.carries_a or 0.0, guard)
    if asked > r.holds_a * (1 + 1e-9):
        fused = remote is not None and remote.fuse_a is not None
        behind = f"the relay's fuse is {c.amps(guard)}" if fused else f"{c.amps(asked)} may flow"
        yield Finding(
            Level.STOP,
            "lead-thin",
            f"{r.name}: {gauge_text(r.gauge)} is too thin",
            f"it holds {c.amps(r.holds_a)}; {behind}",
            "a thicker wire, or leave its gauge to auto",
            "33 CFR 183.425 Table 5, at the temperature of the cabin",
            "leads",
            r.id,
            "gauge",
        )
