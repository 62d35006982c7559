"""The kick drum in words: do the lamps dim, what helps, and where the dip comes from."""

from collections.abc import Iterator
from itertools import pairwise

from domain.document.records import find
from domain.electrical.transient.results import Condition, KickStudy, Spread, Tried
from domain.reference.planning import planned
from domain.topics.tables import Subject

ENGINES = {"idle": "at idle", "cruise": "driving", "off": "engine off"}

REMEDIES = {
    "none": "as it is",
    "capacitor": "a 1 F capacitor",
    "battery": "one more battery in the back",
    "wires": "wires a size thicker",
    "alternator": "an alternator half as large again",
}
"""What is tried, as it is called."""

NOT_SEEN, SEEN = 0.7, 1.5
"""Times what half of the viewers just notice: below the first nobody sees it, above the second
nearly everybody does. Common practice."""

LEAST_COARSE_V = 0.095
"""Below this a voltage has two decimals [V]."""

NO_DIP_V = 0.005
"""Less than this is no dip [V]."""

LEAST_EDGE_V = 0.02
"""Less than this for some ms is not worth a word [V]."""

NEARLY_ALL = 0.9
"""A remedy that leaves more than this of the dip over its whole spread makes no difference."""

WORSE = 1.01
"""A remedy that leaves more than this times the dip makes it worse: thicker wire lets more current
into a load that is not regulated."""

APART = 0.1
"""Figures that differ by more than this share must not read alike."""

DEPENDS = 0.15
"""Where what a remedy leaves differs by more than this from car to car, that is said."""

PREMISES = (
    "Full power in every hit is the worst case: half of it, half of the dip.",
    "The lamps are filament lamps; those with a regulator, as LED and xenon, do not dim.",
    "A cold or aged battery dims the lamps more, nearly in proportion to its resistance: "
    "measure it.",
    "Shares left are surer than volts. Long bass notes are another matter: there the alternator "
    "counts.",
)
"""What the study takes for granted, in sentences."""


def volts(value: float) -> str:
    """About so many volts: no decimal more than the spread allows."""
    return f"{value:.1f} V" if value >= LEAST_COARSE_V else f"{value:.2f} V"


def about(spread: Spread, *beside: Spread) -> str:
    """A figure of a spread [V], rounded as those ``beside`` it in the same sentence are."""
    return f"{spread.typical:.{decimals(spread, *beside)}f} V"


def decimals(*spreads: Spread) -> int:
    """Decimals of all voltages of one sentence: one, or two where one is too coarse.

    It is where a figure would leave its spread or be nothing, or where two that are not alike would
    read alike.
    """
    for each in spreads:
        if each.typical < LEAST_COARSE_V or not each.low <= round(each.typical, 1) <= each.high:
            return 2
    figures = sorted(each.typical for each in spreads)
    for less, more in pairwise(figures):
        if round(less, 1) == round(more, 1) and more - less > APART * more:
            return 2
    return 1


def between(spread: Spread) -> str:
    """Where four fifths of all draws lie [V]."""
    low, high = (f"{v:.1f}" if spread.low >= 1 else f"{v:.2f}" for v in (spread.low, spread.high))
    return low if low == high else f"{low} to {high}"


def told_at(study: KickStudy) -> Condition | None:
    """The condition that the answer is for: at idle, else the first there is."""
    return study.at("idle") or next(iter(study.conditions), None)


def dims(tried: Tried) -> bool:
    """Whether anybody may see the lamps dim."""
    return tried.noticed.typical >= NOT_SEEN and tried.lamps.volts.typical >= NO_DIP_V


def answer(subject: Subject, study: KickStudy) -> str:
    """Do the lamps dim, and what helps: one sentence."""
    condition = told_at(study)
    plain = condition.of("none") if condition else None
    if condition is None or plain is None:
        return "The voltages at rest are not known, so nothing can be told of the kick drum."
    when = ENGINES[condition.engine]
    when = f"with the {when}" if condition.engine == "off" else when
    if not plain.carried:
        return f"This system cannot carry a full hit {when}: the voltage collapses."
    dip = plain.lamps.volts
    if dip.typical < NO_DIP_V:
        return "The lamps do not dim: the bass does not draw on the battery that feeds them."
    seen = dims(plain)
    named = _named(condition) if seen else []
    beside = [dip, *(each.lamps.volts for each in named)]
    drop = f"With every kick your lamps drop about {about(*beside)} ({between(dip)}) {when}"
    if not seen:
        return f"{drop}, which nobody sees."
    sees = "visibly dim" if plain.noticed.typical >= SEEN else "barely visibly dim"
    return f"{drop} and {sees}; {_helps(condition, named, beside)}."


def _useful(condition: Condition) -> list[Tried]:
    """What makes a difference, at least in some cars, the best first."""
    tried = [each for each in condition.tried if each.remedy != "none" and each.carried]
    useful = [each for each in tried if each.whole_left.low <= NEARLY_ALL]
    return sorted(useful, key=lambda each: each.left.typical)


def _named(condition: Condition) -> list[Tried]:
    """Whose volts are told: the best one's, and the capacitor's, which everybody asks for."""
    useful = _useful(condition)
    return [*useful[:1], *(each for each in useful[1:] if each.remedy == "capacitor")]


def _helps(condition: Condition, named: list[Tried], beside: list[Spread]) -> str:
    """What the remedies leave of it: the best one, the capacitor, and those that do nothing."""
    useful = _useful(condition)
    useless = [
        each
        for each in condition.tried
        if each.remedy != "none" and each.carried and each not in useful
    ]
    said = [_leaves(each, beside) for each in named]
    rivals = [REMEDIES[each] for each in condition.rivals]
    if said and rivals:
        said[0] += f" (in some cars {_or(rivals)} leaves less)"
    worse = [each for each in useless if each.left.typical > WORSE]
    useless = [each for each in useless if each not in worse]
    if worse:
        names = _and([REMEDIES[each.remedy] for each in worse])
        one = len(worse) == 1 and worse[0].remedy != "wires"
        said.append(f"{names} {'makes' if one else 'make'} it a little worse")
    if useless:
        names = _and([REMEDIES[each.remedy] for each in useless])
        one = len(useless) == 1 and useless[0].remedy != "wires"
        said.append(f"{names} {'leaves' if one else 'leave'} nearly all of it")
    return ", ".join(said) or "nothing that was tried can be carried"


def _leaves(tried: Tried, beside: list[Spread]) -> str:
    """What one remedy leaves [V], and how sure that is."""
    left = tried.whole_left
    nearly = left.typical > NEARLY_ALL
    leaves = "nearly all of it" if nearly else about(tried.lamps.volts, *beside)
    text = f"{REMEDIES[tried.remedy]} leaves {leaves}"
    if nearly or left.high - left.low > DEPENDS:
        share = f"{left.low * 100:.0f} to {left.high * 100:.0f} %"
        text += f" ({share}, from car to car)" if nearly else f" ({share} of it, from car to car)"
    return text


def _or(names: list[str]) -> str:
    return " or ".join((", ".join(names[:-1]), names[-1])) if len(names) > 1 else names[0]


def _and(names: list[str]) -> str:
    return " and ".join((", ".join(names[:-1]), names[-1])) if len(names) > 1 else names[0]


def at_lamps(subject: Subject, study: KickStudy) -> str:
    """How low the lamps' voltage falls and when it is back, in a sentence; "" if unknown."""
    condition = told_at(study)
    plain = condition.of("none") if condition else None
    if plain is None or not plain.carried or plain.lamps.volts.typical < NO_DIP_V:
        return ""
    dip = plain.lamps
    back = "not back before the next hit"
    if dip.recovers_s is not None:
        back = f"back {dip.recovers_s:.2f} s after the hit began"
    before, lowest = (subject.show("voltage", v) for v in (dip.before_v, dip.lowest_v))
    return f"The lamps fall from {before} to {lowest}, {back}."


def at_amplifier(subject: Subject, study: KickStudy) -> str:
    """How low the voltage of the amplifier falls that dips most, in a sentence; "" if unknown."""
    condition = told_at(study)
    plain = condition.of("none") if condition else None
    if condition is None or plain is None or not plain.carried:
        return ""
    dip, record = plain.amplifier, find(subject.build, study.amplifier)
    lowest = subject.show("voltage", dip.lowest_v)
    text = (
        f"{subject.name(study.amplifier)} falls by {about(dip.volts)} "
        f"({between(dip.volts)}) to {lowest}"
    )
    cutoff = getattr(record, "lowest_v", 0.0)
    if dip.lowest_v < cutoff:
        text += f", below its cutoff of {subject.show('voltage', cutoff)}: it shuts down"
    return text + "."


def on_edges(subject: Subject, study: KickStudy) -> str:
    """What the inductance of wires adds on the edges of a hit, in a sentence; "" if nothing."""
    edge = study.edge
    if edge is None or edge.most_v < LEAST_EDGE_V:
        return ""
    text = (
        f"On the edges of a hit the inductance of its wires (up to {edge.most_h * 1e6:.1f} uH) "
        f"takes up to {volts(edge.most_v)} more there for some ms, {volts(edge.least_v)} where "
        f"they lie along the body or beside their return"
    )
    left = edge.capacitor_v / edge.most_v
    if left <= NEARLY_ALL:
        helped = volts(edge.capacitor_v) if edge.capacitor_v >= NO_DIP_V else "nothing"
        text += f"; {REMEDIES['capacitor']} leaves {helped} of it"
    lamps = "hardly follow" if edge.lamps_v < LEAST_EDGE_V else f"follow by {volts(edge.lamps_v)}"
    return f"{text}. The lamps {lamps}."


def on_bursts(study: KickStudy) -> str:
    """Where the bursts of an amplifier test flatter a capacitor, that in a sentence; else ""."""
    condition = told_at(study)
    kick = condition.of("capacitor") if condition else None
    burst = study.burst
    if kick is None or not kick.carried or burst is None or burst.lamps_v < NO_DIP_V:
        return ""
    left, of_kick = burst.capacitor_v / burst.lamps_v, kick.left.typical
    if left > of_kick - APART:
        return ""
    return (
        f"Bursts of {planned('burst_s') * 1000:.0f} ms, as amplifiers are tested with, flatter a "
        f"capacitor: {REMEDIES['capacitor']} leaves {_percent(left)} of their dip at the lamps, "
        f"{_percent(of_kick)} of a kick's."
    )


def further(subject: Subject, study: KickStudy) -> list[str]:
    """What is told after the answer, sentence by sentence."""
    told = (
        at_lamps(subject, study),
        at_amplifier(subject, study),
        on_edges(subject, study),
        on_bursts(study),
        *causes(subject, study),
    )
    return [each for each in told if each]


def causes(subject: Subject, study: KickStudy) -> Iterator[str]:
    """Where the dips come from, in sentences."""
    condition = told_at(study)
    if condition is None:
        return
    for what, share in (
        ("lamps", condition.at_lamps),
        (subject.name(study.amplifier), condition.at_amplifier),
    ):
        if share.battery or share.wires:
            yield (
                f"Dip at {what}: battery {_percent(share.battery)}, wires "
                f"{_percent(share.wires)}, alternator {_percent(share.alternator)}, capacitors "
                f"{_percent(share.capacitor)}."
            )
    given = condition.at_amplifier
    if given.battery_a:
        yield (
            f"The current of a hit comes from the batteries ({_percent(given.battery_a)}), the "
            f"alternator ({_percent(given.alternator_a)}) and capacitors "
            f"({_percent(given.capacitor_a)})."
        )


def _percent(share: float) -> str:
    return f"{round(share * 100) + 0} %"
