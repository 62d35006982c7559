"""How a run lies in each section of its way: beside how many, how warm, with what round it.

All runs that take a section lie together in it, but those of different harnesses apart: runs with
the same harness word are one bundle there, and those without a word another. A run carries what it
carries in the worst of its sections.
"""

from collections import Counter
from collections.abc import Iterable, Mapping
from types import MappingProxyType

from msgspec import Struct

from domain.build.choices import Cover, Polarity, WireSizes
from domain.build.record_kinds.route_records import RouteSection
from domain.build.records import Build, Run
from domain.electrical import ampacity, conductors
from domain.electrical.bundling import loom_id
from domain.electrical.covers import engine_bay
from domain.routes.ways import Way

Bundle = tuple[str, str]
"""Section id and harness word: what lies together."""


class Lying(Struct, frozen=True):
    """How a run lies in a section: loaded conductors there, itself too; zone id; its cover."""

    section: str
    bundle: int
    zone: str
    cover: Cover


def bundle_key(section: RouteSection, run: Run) -> Bundle:
    """What names the bundle that a run lies in, in a section."""
    return section.id, loom_id(run)


def bundles(build: Build, going: Mapping[str, Way]) -> dict[Bundle, tuple[Run, ...]]:
    """The runs of each bundle, in the order of the build; one that passes twice is in it twice."""
    found: dict[Bundle, list[Run]] = {}
    for run in build.runs:
        if (way := going.get(run.id)) is not None:
            for section in way.sections:
                found.setdefault(bundle_key(section, run), []).append(run)
    return {key: tuple(runs) for key, runs in found.items()}


def lying(build: Build, going: Mapping[str, Way]) -> Mapping[str, tuple[Lying, ...]]:
    """How each run that has a way lies in its sections, in their order, by run id.

    A section without a location is in that of the run. A wire that passes a section twice counts
    twice there; runs of the same harness that have no way count wherever it goes.
    """
    if not going:
        return _NONE
    loaded: Counter[Bundle] = Counter()
    elsewhere: Counter[str] = Counter()
    for run in build.runs:
        way = going.get(run.id)
        if way is None:
            elsewhere[loom_id(run)] += run.count
            continue
        for section in way.sections:
            loaded[bundle_key(section, run)] += run.count
    del elsewhere[""]
    tubed = tubed_bundles(build, going)
    return {
        run.id: tuple(
            Lying(
                section=section.id,
                bundle=run.bundle or loaded[key] + elsewhere[key[1]],
                zone=section.zone or run.zone,
                cover=_cover(section, run, key in tubed),
            )
            for section in going[run.id].sections
            for key in (bundle_key(section, run),)
        )
        for run in build.runs
        if run.id in going
    }


def tubed_bundles(build: Build, going: Mapping[str, Way]) -> frozenset[Bundle]:
    """Bundles that lie in tube, by the rule of ``domain.electrical.covers`` in each section.

    What the section says of its cover comes before the rule, what a run says of tube before both.
    """
    zones = {zone.id: zone for zone in build.zones}
    sections = {section.id: section for section in build.sections}
    found = set()
    for key, runs in bundles(build, going).items():
        section = sections[key[0]]
        new = not all(run.existing for run in runs)
        for run in runs:
            asks = run.polarity is Polarity.POSITIVE or engine_bay(
                zones.get(section.zone or run.zone)
            )
            by_rule = run.cover in (None, Cover.CARPET) and new and asks
            left_open = section.cover is Cover.OPEN
            if Cover.TUBE in (run.cover, section.cover) or (by_rule and not left_open):
                found.add(key)
    return frozenset(found)


def worst(
    run: Run,
    lies: Iterable[Lying],
    zones: Mapping[str, float],
    unknown_c: float,
    sizes: WireSizes,
) -> Lying:
    """Where a run carries the least; ``zones`` are their air [C], ``unknown_c`` that of none.

    All gauges of a series have the same classes in their table, so that it is the same for all.
    """
    gauge = run.gauge or conductors.stock(sizes)[-1]
    _, class_c, table_c = ampacity.base_ampacity(gauge, run.insulation)

    def left(each: Lying) -> float:
        air_c = zones.get(each.zone, unknown_c)
        lies_at = ampacity.lying_factor(each.bundle, each.cover)
        return lies_at * ampacity.ambient_factor(class_c, air_c, table_c)

    return min(lies, key=left)


_NONE: Mapping[str, tuple[Lying, ...]] = MappingProxyType({})


def _cover(section: RouteSection, run: Run, tubed: bool) -> Cover:
    if Cover.CARPET in (run.cover, section.cover):
        return Cover.CARPET
    return Cover.TUBE if tubed else Cover.OPEN
