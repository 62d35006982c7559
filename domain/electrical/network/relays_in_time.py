"""Relays that join by voltage while time goes by: joined or parted, and for how long it wants to.

One joins when its input has been at its voltage for its time, and parts when it has been below the
other for its time. Between the two voltages it stays as it is.
"""

from collections.abc import Mapping
from math import inf

from domain.build.records import Block, Build
from domain.electrical.network.voltage_relays import part_v, relays
from domain.reference.planning import planned


def join_s(relay: Block) -> float:
    """Time above its voltage until it joins [s]: as entered, else usual."""
    return planned("relay_join_s") if relay.join_s is None else relay.join_s


def part_s(relay: Block) -> float:
    """Time below its voltage until it parts [s]: as entered, else usual."""
    return planned("relay_part_s") if relay.part_s is None else relay.part_s


class Relays:
    """The relays of a build that join by voltage, all parted at first."""

    def __init__(self, build: Build) -> None:
        self._relays = relays(build)
        self._joined: set[str] = set()
        self._waited_s: dict[str, float] = {}
        """How long each that wants to join or part has wanted to."""

    @property
    def parted(self) -> frozenset[str] | None:
        """Those that are parted now; ``None`` where the build has none."""
        if not self._relays:
            return None
        return frozenset(relay.id for relay in self._relays) - self._joined

    def seen(self, node_v: Mapping[str, float]) -> float:
        """Take the voltages at their inputs; time until the next joins or parts [s], else inf."""
        for relay in self._relays:
            volts = node_v[f"{relay.id}_in"]
            joined = relay.id in self._joined
            wants = volts < part_v(relay) if joined else volts >= (relay.join_v or inf)
            if wants:
                self._waited_s.setdefault(relay.id, 0.0)
            else:
                self._waited_s.pop(relay.id, None)
        return min((self._left_s(relay) for relay in self._relays), default=inf)

    def after(self, seconds: float) -> None:
        """Let time go by: those join or part whose time has come."""
        for relay in self._relays:
            if relay.id in self._waited_s:
                self._waited_s[relay.id] += seconds
                if self._left_s(relay) <= 1e-9:
                    self._joined ^= {relay.id}
                    del self._waited_s[relay.id]

    def _left_s(self, relay: Block) -> float:
        if relay.id not in self._waited_s:
            return inf
        takes = part_s(relay) if relay.id in self._joined else join_s(relay)
        return takes - self._waited_s[relay.id]
