"""Where the two probes of a meter go for a reading, and whether anything joins them."""

from enum import Enum

from msgspec import Struct

from domain.build.choices import BlockKind, Meter
from domain.build.records import (
    Alternator,
    Amplifier,
    Appliance,
    Battery,
    Block,
    Build,
    GroundPoint,
    Run,
)
from domain.document.records import find, label
from domain.electrical.network.wiring import STAR, wiring

TwoSided = Battery | Alternator | Amplifier | Appliance
"""A device with a positive and a negative terminal."""

Device = TwoSided | Block | GroundPoint
"""What runs lead to."""


class Kind(Enum):
    """What a reading is of: the supply itself, a drop, or a ground against a battery."""

    SUPPLY = "supply"
    DROP = "drop"
    RISE = "rise"


class Probes(Struct, frozen=True):
    """The nodes that the two probes are on, and what is read between them."""

    red: str
    black: str
    kind: Kind

    def between(self, node_v: dict[str, float]) -> float:
        """Red against black [V], with its sign."""
        return node_v.get(self.red, 0.0) - node_v.get(self.black, 0.0)

    def shown(self, volts: float) -> float:
        """A voltage as it counts: a drop is positive whichever way round it is read [V]."""
        return abs(volts) if self.kind is Kind.DROP else volts


class Places:
    """The places of one build where a meter can be put."""

    def __init__(self, build: Build) -> None:
        self.build = build
        self.wiring = wiring(build)
        self._part = _parts(build)

    def probes(self, at: str, meter: Meter) -> Probes | str:
        """Where the probes go, or a sentence that says why this cannot be read."""
        device = find(self.build, at)
        if device is None:
            return "say which device or run it was taken at"
        if isinstance(device, Run):
            found = self._at_run(device, meter)
        elif meter is Meter.ALONG:
            found = (
                f"{label(self.build, at)} is not a run: read it across its terminals or to the "
                "battery, or name the run"
            )
        elif meter is Meter.TERMINALS:
            found = self._across(device)
        else:
            found = self._to_battery(device)
        if isinstance(found, Probes) and self._part[found.red] != self._part[found.black]:
            return f"nothing joins {label(self.build, at)} to where the other probe goes"
        return found

    def on_body(self, where: Probes) -> bool:
        """Whether what is read is connected to the body, against which its voltages then count."""
        return self._part[where.red] == self._part[STAR]

    def home(self, at: str) -> str:
        """The battery that feeds a device, or what goes through it; else the first; "" if none."""
        joined = self.wiring
        if at in joined.feed and joined.feed[at].battery:
            return joined.feed[at].battery
        touching = {run.id for run in self.build.runs if at in (run.source, run.target)}
        for amplifier, path in joined.feed.items():
            if path.battery and touching & {*path.runs, *joined.ret[amplifier].runs}:
                return path.battery
        return self.build.batteries[0].id if self.build.batteries else ""

    def _at_run(self, run: Run, meter: Meter) -> Probes | str:
        if meter is not Meter.ALONG:
            return (
                f"{label(self.build, run.id)} is a run: read it along the run, or name the device "
                "at its end"
            )
        if run.id not in self.wiring.ends:
            return f"{label(self.build, run.id)} is not joined at both ends"
        return Probes(*self.wiring.ends[run.id], Kind.DROP)

    def _across(self, device: object) -> Probes | str:
        if isinstance(device, TwoSided):
            if isinstance(device, Amplifier | Appliance) and not (
                self.wiring.feed[device.id].battery and self.wiring.ret[device.id].battery
            ):
                return f"{label(self.build, device.id)} is not wired to a battery and back"
            return Probes(f"{device.id}_pos", f"{device.id}_neg", Kind.SUPPLY)
        if isinstance(device, Block) and device.kind is BlockKind.ISOLATOR:
            return Probes(f"{device.id}_in", f"{device.id}_out", Kind.DROP)
        if isinstance(device, Block) and device.kind.distributes:
            return Probes(device.id, STAR, Kind.SUPPLY)
        assert isinstance(device, Block | GroundPoint)
        return (
            f"{label(self.build, device.id)} has no two terminals: read from it to the battery's "
            "negative post"
        )

    def against(self, at: str) -> str:
        """The battery whose negative post a reading to the battery goes to; "" if none.

        A battery's own negative post is read against that of the starter battery.
        """
        if at.startswith("b"):
            return self.build.batteries[0].id
        return self.home(at)

    def _to_battery(self, device: object) -> Probes | str:
        assert isinstance(device, TwoSided | Block | GroundPoint)
        home = self.against(device.id)
        if not home:
            return "there is no battery to read against"
        post = f"{home}_neg"
        if isinstance(device, TwoSided):
            if device.id == home:
                return "that is the battery's own post: read across its terminals"
            return Probes(f"{device.id}_neg", post, Kind.RISE)
        if isinstance(device, Block) and device.kind is BlockKind.ISOLATOR:
            return (
                f"{label(self.build, device.id)} has an input and an output: read across its "
                "terminals, or along the runs beside it"
            )
        if isinstance(device, Block) and device.kind.distributes:
            return Probes(device.id, post, Kind.SUPPLY)
        return Probes(device.id, post, Kind.RISE)


def _parts(build: Build) -> dict[str, str]:
    """Node -> a name of the part of the network it belongs to, by runs, body and batteries."""
    joined = wiring(build)
    top = {node: node for node in (*joined.nodes, STAR)}

    def find_top(node: str) -> str:
        while top[node] != node:
            top[node] = top[top[node]]
            node = top[node]
        return node

    links = [*joined.ends.values()]
    links += [(point.id, STAR) for point in build.grounds]
    links += [(f"{b.id}_pos", f"{b.id}_neg") for b in build.batteries]
    links += [
        (f"{block.id}_in", f"{block.id}_out")
        for block in build.blocks
        if block.kind is BlockKind.ISOLATOR
    ]
    for a, b in links:
        top[find_top(a)] = find_top(b)
    return {node: find_top(node) for node in top}
