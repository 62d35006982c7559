"""Mounting spots for a fuse, compared: what forbids one, how much wire it leaves unprotected,
how warm it sits, and whether it can be reached without taking something else out."""

from domain.build.choices import Hazard, Reach
from domain.build.records import Build, Run, Spot
from domain.electrical.network.run_conductor import NO_ZONE_C
from domain.reference.planning import planned
from domain.sheet import RunResult, SpotResult


def spot_results(build: Build, runs: tuple[RunResult, ...]) -> tuple[SpotResult, ...]:
    """Every spot, best first within each run.

    In this order: not ruled out; less unprotected wire; more heat margin of the holder; not in
    the way of something below; easier to reach. Common practice.
    """
    zones = {zone.id: zone.ambient_c for zone in build.zones}
    results = {run.id: run for run in runs}
    by_run: dict[str, list[Spot]] = {}
    for spot in build.spots:
        by_run.setdefault(spot.run, []).append(spot)
    found = []
    for run, spots in by_run.items():
        ordered = sorted(spots, key=lambda spot: _key(spot, zones))
        for rank, spot in enumerate(ordered, 1):
            better = ordered[rank - 2] if rank > 1 else None
            found.append(_result(spot, rank, better, zones, results.get(run)))
    return tuple(found)


def heat_margin_c(spot: Spot, zones: dict[str, float]) -> float:
    """What a moulded holder has left in the spot's zone [K]."""
    return planned("holder_max_c") - zones.get(spot.zone, NO_ZONE_C)


def onward_m(spot: Spot, run: Run | RunResult | None) -> float:
    """Wire from the spot to the run's far end [m]: measured, else the rest of the run."""
    if spot.onward_m is not None:
        return spot.onward_m
    length = getattr(run, "length_m", None) or 0.0
    return max(float(length) - spot.feed_m, 0.0)


def _key(spot: Spot, zones: dict[str, float]) -> tuple[bool, float, float, bool, int]:
    return (
        spot.hazard is not Hazard.NONE,
        spot.feed_m,
        -heat_margin_c(spot, zones),
        spot.blocks,
        list(Reach).index(spot.reach),
    )


def _result(
    spot: Spot,
    rank: int,
    better: Spot | None,
    zones: dict[str, float],
    run: RunResult | None,
) -> SpotResult:
    return SpotResult(
        id=spot.id,
        name=spot.name or spot.id,
        run=spot.run,
        rank=rank,
        ruled_out=spot.hazard is not Hazard.NONE,
        unprotected_m=spot.feed_m,
        wire_m=spot.feed_m + onward_m(spot, run),
        heat_margin_c=heat_margin_c(spot, zones),
        why=_why(spot, better, zones),
    )


def _why(spot: Spot, better: Spot | None, zones: dict[str, float]) -> str:
    if spot.hazard is not Hazard.NONE:
        return f"ruled out: {spot.hazard.value}"
    if better is None:
        return "best of those entered"
    for mine, other, words in zip(
        _key(spot, zones)[1:],
        _key(better, zones)[1:],
        (
            "more unprotected wire",
            "less heat margin",
            "in the way of something below",
            "harder to reach",
        ),
        strict=True,
    ):
        if mine != other:
            return f"{words} than {better.name or better.id}"
    return f"as good as {better.name or better.id}"
