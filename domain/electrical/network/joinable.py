"""What an end of a run may be joined to: a ground run to no block that distributes, and so on."""

from domain.build.choices import Isolates
from domain.build.records import DEVICE_TABLES, Build, Run
from domain.document.records import records
from domain.electrical.network.wiring import node_at


def joinable(build: Build, run: Run, *, out: bool) -> frozenset[str]:
    """Ids of the devices that a run of this side can be joined to, the one at its other end not.

    ``out``: at the end that it comes from, else at the end that it leads to.
    """
    kinds = {block.id: block.kind for block in build.blocks}
    chargers = tuple(b.id for b in build.blocks if b.isolates is Isolates.CONVERTER)
    other = run.target if out else run.source
    return frozenset(
        each.id
        for table in DEVICE_TABLES
        for each in records(build, table)
        if each.id != other and node_at(kinds, each.id, run.polarity, out, chargers)
    )
