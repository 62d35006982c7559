"""What sizing works out: gauges, fuses and currents of every run, and answers to compare."""

from collections.abc import Mapping

from msgspec import Struct, field
from msgspec.structs import replace

from domain.build.choices import FuseFamily, Polarity
from domain.build.records import Build
from domain.electrical import conductors, fuses
from domain.electrical.loads import takers
from domain.electrical.network.run_conductor import Conductor
from domain.electrical.network.state_currents import StateCurrents
from domain.electrical.network.wiring import Wiring
from domain.electrical.protection.cut_network import CutNetwork
from domain.electrical.sizing.between_sources import Between

NOTHING_SOLVED = 0.0, 0.0
"""What a run carries at most, and lasting, where no state was solved [A]."""


class Sized(Struct):
    """Gauges, fuses and design currents of every run, while and after they are worked out.

    ``also_a`` is what a run carries beside the design state; ``solved_a`` the most that it carries
    in the solved states, at any output and at programme level [A], ``seen_a`` the same of an answer
    before that was too small for it, all its wires together; ``joining_a`` what each isolator
    passes as it closes, by its id, ``closing_a`` what that asks of fuses to be chosen; ``full_a``
    and ``lasting_a`` are the full-tone and lasting currents that the fuse of one wire must carry,
    ``fuse_a`` and ``least_a`` its rating; ``tone_at_a`` and ``programme_at_a`` the currents at
    which its resistances were taken. ``over_v`` says by how much amplifiers stay over the drop
    limit at best [V].
    """

    gauge: dict[str, str] = field(default_factory=dict)
    why: dict[str, str] = field(default_factory=dict)
    fuse_a: dict[str, float] = field(default_factory=dict)
    family: dict[str, FuseFamily] = field(default_factory=dict)
    least_a: dict[str, float] = field(default_factory=dict)
    design_a: dict[str, float] = field(default_factory=dict)
    programme_a: dict[str, float] = field(default_factory=dict)
    amplifier_design_a: dict[str, float] = field(default_factory=dict)
    amplifier_programme_a: dict[str, float] = field(default_factory=dict)
    volts: dict[str, float] = field(default_factory=dict)
    tone_ohm: dict[str, float] = field(default_factory=dict)
    programme_ohm: dict[str, float] = field(default_factory=dict)
    also_a: dict[str, Between] = field(default_factory=dict)
    short_a: dict[str, float] = field(default_factory=dict)
    solved_a: dict[str, tuple[float, float]] = field(default_factory=dict)
    joining_a: dict[str, float] = field(default_factory=dict)
    closing_a: dict[str, float] = field(default_factory=dict)
    seen_a: dict[str, tuple[float, float]] = field(default_factory=dict)
    full_a: dict[str, float] = field(default_factory=dict)
    lasting_a: dict[str, float] = field(default_factory=dict)
    tone_at_a: dict[str, float] = field(default_factory=dict)
    programme_at_a: dict[str, float] = field(default_factory=dict)
    over_v: dict[str, float] = field(default_factory=dict)
    exact: bool = True
    last_volts: list[float] | None = None
    in_states: StateCurrents | None = None
    net: CutNetwork | None = None

    def note_states(self, level: str, run_ohm: Mapping[str, float]) -> None:
        """Note what runs carry in the solved states at a level, "tone" or "programme"."""
        if self.in_states is None:
            return
        solved_a, tone = self.solved_a, level == "tone"
        for id, amperes in self.in_states.most_a(level, run_ohm).items():
            full, lasting = solved_a.get(id, NOTHING_SOLVED)
            solved_a[id] = (max(amperes, lasting), lasting) if tone else (full, amperes)

    def most_a(self, id: str) -> float:
        """The most that a run carries in any solved state [A]."""
        full, lasting = self.solved_a.get(id, NOTHING_SOLVED)
        if self.seen_a:
            return max(full, lasting, *self.seen_a.get(id, NOTHING_SOLVED))
        return max(full, lasting)

    def carries_a(self, item: Conductor) -> float:
        """What one of a run's wires must carry, its fuses apart [A].

        At full tone with what flows between sources on top, and in any solved state. On the ground
        side charge comes back another way than the loads' current: the greater counts there.
        """
        run = item.run
        both, also = self.design_a[run.id], self.also_a.get(run.id)
        if also is not None:
            ground = run.polarity is Polarity.GROUND
            both = max(both, also.amperes) if ground else also.beside(both)
        return max(both, self.most_a(run.id)) / run.count

    def copy(self) -> "Sized":
        """All of it as it stands, to come back to."""
        copied = replace(self)
        for name in self.__struct_fields__:
            value = getattr(self, name)
            if isinstance(value, dict):
                setattr(copied, name, dict(value))
        return copied

    def restore(self, before: "Sized") -> None:
        """Make it again what it was."""
        for name in self.__struct_fields__:
            setattr(self, name, getattr(before, name))


class Answer(Struct, frozen=True):
    """Gauges and fuses as they stood when the network was solved with them."""

    gauge: dict[str, str]
    why: dict[str, str]
    fuse_a: dict[str, float]
    family: dict[str, FuseFamily]

    @classmethod
    def of(cls, sized: Sized) -> "Answer":
        """The answer as it stands."""
        return cls(
            dict(sized.gauge),
            dict(sized.why),
            dict(sized.fuse_a),
            dict(sized.family),
        )

    def copper_kg(self, items: Mapping[str, Conductor]) -> float:
        """The conductors of all runs together [kg]."""
        return sum(item.conductor_kg(self.gauge[id]) for id, item in items.items())

    def covers(self, least: Sized) -> bool:
        """Whether no fuse and no gauge is smaller than what its own currents call for."""
        return all(self.fuse_a[id] >= rating for id, rating in least.fuse_a.items()) and all(
            conductors.area_mm2(self.gauge[id]) >= conductors.area_mm2(gauge) * (1 - 1e-9)
            for id, gauge in least.gauge.items()
        )

    def restore(self, sized: Sized) -> None:
        """Make this the answer again."""
        sized.gauge, sized.why = dict(self.gauge), dict(self.why)
        sized.fuse_a, sized.family = dict(self.fuse_a), dict(self.family)


def inside_limit(build: Build, wiring: Wiring, sized: Sized) -> bool:
    """Whether every amplifier is inside the drop limit, but for those that cannot be."""
    limit = build.header.drop_limit_v * (1 + 1e-9)
    return all(
        a.id in sized.over_v or sum(drops(wiring, sized, a.id)) <= limit
        for a in takers(build)
        if wiring.feed[a.id].battery and wiring.ret[a.id].battery
    )


def note_least(items: Mapping[str, Conductor], sized: Sized) -> None:
    """Note the least rating of every fuse for the currents as they stand."""
    for id, item in items.items():
        run = item.run
        if run.fused or run.far_fused:
            full, lasting = sized.design_a[id], sized.programme_a[id]
            also = sized.also_a.get(id)
            if also is not None:
                full, lasting = also.beside(full), also.beside(lasting)
            solved_full, solved_lasting = sized.solved_a.get(id, NOTHING_SOLVED)
            seen_full, seen_lasting = sized.seen_a.get(id, NOTHING_SOLVED)
            closing = sized.closing_a.get(id, 0.0)
            full = max(full, solved_full, seen_full, closing) / run.count
            lasting = max(lasting, solved_lasting, seen_lasting) / run.count
            sized.full_a[id], sized.lasting_a[id] = full, lasting
            sized.least_a[id] = fuses.least_rating_a(full, lasting, item.fuse_c, run.fuse_family)


def drops(wiring: Wiring, sized: Sized, amplifier: str) -> tuple[float, float]:
    """Drop on the feed and on the return of an amplifier at full tone [V].

    From the feeding battery's posts to the amplifier's terminals in the design state.
    """
    battery = wiring.feed[amplifier].battery
    volts = sized.volts
    feed = volts[f"{battery}_pos"] - volts[f"{amplifier}_pos"]
    ret = volts[f"{amplifier}_neg"] - volts[f"{battery}_neg"]
    return feed, ret
