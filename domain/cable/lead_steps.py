"""The steps of laying, joining and proving switching, signal and loudspeaker leads."""

from collections.abc import Iterator

from domain.build.choices import LeadKind
from domain.build.records import Build
from domain.sheet import RemoteResult, Sheet
from domain.units.gauges import gauge_text
from domain.units.show import format_quantity


def mount(sheet: Sheet) -> Iterator[str]:
    """Relays are fitted before their wires are laid."""
    for remote in _relays(sheet):
        yield (
            f"Fit the relay of {remote.name}: its socket down, so that no water stands in it; a "
            "diode across its coil, the band to 86, if it has none."
        )


def lay(build: Build, sheet: Sheet) -> Iterator[str]:
    """Every lead from where to where, remote ones first; the fuse of a relay stays out."""
    for lead in sheet.leads:
        text = f"{lead.name} ({lead.record})"
        if lead.count > 1:
            text += f", {lead.count} cables"
        if lead.gauge:
            text += f", {gauge_text(lead.gauge)}"
        text += f": lay it from {lead.source} to {lead.target}"
        if lead.kind == LeadKind.SIGNAL.value:
            text += ", away from the power wires; cross them at right angles"
        if lead.kind == LeadKind.SPEAKER.value:
            text += ", both poles marked, insulated until they are joined"
        text += "."
        if lead.fuse_a is not None:
            rating = format_quantity("current", lead.fuse_a, build.header.units)
            text += f" Its fuse, {rating}, as near as can be to where it is fed; it stays OUT."
        yield text


def live(build: Build, sheet: Sheet) -> Iterator[str]:
    """The fuse of a relay goes in after those of the runs."""
    for remote in _relays(sheet):
        if remote.fuse_a is not None:
            rating = format_quantity("current", remote.fuse_a, build.header.units)
            yield (
                f"{remote.name} relay: put in its {rating} fuse. Meter at 30: as at what feeds it; "
                "at 87: nothing while the output is off."
            )


def prove(build: Build, sheet: Sheet) -> Iterator[str]:
    """The output on and off, at the far end of its leads, and what it gives."""
    for remote in sheet.remotes:
        if not remote.devices:
            continue
        most = format_quantity("current", remote.limit_a, build.header.units)
        usual = " (usual, look it up)" if remote.limit_auto else ""
        yield (
            f"{remote.name} on: each device at its leads has 12 V at its switching terminal and "
            f"comes on; off: 0 V, and all are off. Ammeter in its remote wire: not above {most}"
            f"{usual}."
        )


def _relays(sheet: Sheet) -> list[RemoteResult]:
    return [remote for remote in sheet.remotes if remote.relay]
