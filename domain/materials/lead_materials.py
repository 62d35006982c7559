"""What the bill of materials needs for switching, signal and loudspeaker leads."""

from domain.build.choices import LeadKind, Termination
from domain.build.records import Build
from domain.cable.lead_pieces import lead_pieces
from domain.cable.pieces import END_ALLOWANCE_M, WirePiece
from domain.electrical.switching import RELAY_FUSE
from domain.materials.takeoff import Takeoff
from domain.sheet import LeadResult, RemoteResult
from domain.units.show import format_quantity

RELAY = "Relay, 12 V, 30 A or more"
"""What switches for an output that gives too little: a plug-in relay of any counter."""


def lead_needs(
    takeoff: Takeoff,
    build: Build,
    remotes: tuple[RemoteResult, ...],
    leads: tuple[LeadResult, ...],
) -> list[WirePiece]:
    """Add what the leads and relays need; the pieces of wire, for their labels."""
    for remote in remotes:
        if remote.relay:
            _relay(takeoff, remote)
    pieces = lead_pieces(build, leads)
    units = build.header.units
    ends = format_quantity("allowance", 2 * END_ALLOWANCE_M, units)
    for piece in pieces:
        takeoff.add(
            "Audio cable" if piece.colour == "pair" else "Wire",
            piece.item,
            piece.size,
            piece.cut_m,
            piece.run,
            unit="m",
            order=piece.area_mm2,
            note=f"with {ends} for the ends of each piece",
        )
        for end in (piece.near, piece.far):
            if end.termination is Termination.FERRULE:
                takeoff.add("Terminals", "Ferrule", piece.size, 1, piece.run, order=piece.area_mm2)
            elif piece.colour != "pair":
                takeoff.add(
                    "Switching",
                    "Crimp splice, insulated",
                    piece.size,
                    1,
                    piece.run,
                    order=piece.area_mm2,
                    note="to the tail of a head unit, relay socket or fuse holder",
                )
    for lead in leads:
        if lead.kind == LeadKind.SIGNAL.value:
            takeoff.add(
                "Audio cable",
                "Signal cable, one pair",
                format_quantity("length", lead.wire_m, units),
                lead.count,
                lead.record,
                order=lead.wire_m,
                note="made up, the next longer that is sold",
            )
    return pieces


def _relay(takeoff: Takeoff, remote: RemoteResult) -> None:
    takeoff.add("Switching", RELAY, "", 1, remote.id, note=f"for {remote.name}")
    takeoff.add("Switching", "Relay socket with tails", "", 1, remote.id)
    takeoff.add("Switching", "Diode, 1 A", "", 1, remote.id, note="across the coil, if it has none")
    if remote.fuse_a is not None:
        size = f"{remote.fuse_a:g} A"
        family = RELAY_FUSE.value
        takeoff.add("Fuses", f"Fuse {family}", size, 1, remote.id, order=remote.fuse_a)
        takeoff.add("Holders", f"Holder for {family}", "with tails", 1, remote.id)
