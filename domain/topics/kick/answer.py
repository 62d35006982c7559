"""The kick drum in words: do the lamps dim, what helps, and where the dip comes from."""

from collections.abc import Iterator

from domain.document.records import find
from domain.electrical.transient.results import Condition, KickStudy, Spread, Tried
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

NO_DIP_V = 0.005
"""Less than this is no dip [V]."""

NEARLY_ALL = 0.9
"""A remedy that leaves more than this of the dip in nine draws of ten makes no difference."""

WORSE = 1.01
"""A remedy that leaves more than this times the dip makes it worse: thicker wire lets more current
into a load that is not regulated."""

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
    return f"{value:.1f} V" if value >= 0.095 else f"{value:.2f} V"


def about(spread: Spread) -> str:
    """A figure of a spread [V]: rounded no further than it stays inside."""
    coarse = round(spread.typical, 1)
    inside = spread.low <= coarse <= spread.high
    return volts(spread.typical) if inside else f"{spread.typical:.2f} V"


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
    when = when if condition.engine == "idle" else f"with the {when}"
    if not plain.carried:
        return f"This system cannot carry a full hit {when}: the voltage collapses."
    dip = plain.lamps.volts
    if dip.typical < NO_DIP_V:
        return "The lamps do not dim: the bass does not draw on the battery that feeds them."
    drop = f"With every kick your lamps drop about {about(dip)} ({between(dip)}) {when}"
    if not dims(plain):
        return f"{drop}, which nobody sees."
    sees = "visibly dim" if plain.noticed.typical >= SEEN else "barely visibly dim"
    return f"{drop} and {sees}; {_helps(condition)}."


def _helps(condition: Condition) -> str:
    """What the remedies leave of it: the best one, the capacitor, and those that do nothing."""
    tried = [each for each in condition.tried if each.remedy != "none" and each.carried]
    useless = [each for each in tried if each.left.low > NEARLY_ALL]
    useful = [each for each in tried if each not in useless]
    said = []
    if useful:
        best = min(useful, key=lambda each: each.left.typical)
        named = [best, *(each for each in useful if each.remedy == "capacitor" and each != best)]
        said = [_leaves(each) for each in named]
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


def _leaves(tried: Tried) -> str:
    """What one remedy leaves [V], and how sure that is."""
    left = tried.whole_left
    text = f"{REMEDIES[tried.remedy]} leaves {about(tried.lamps.volts)}"
    if left.high - left.low > DEPENDS:
        text += f" ({left.low * 100:.0f} to {left.high * 100:.0f} % of it, from car to car)"
    return text


def _and(names: list[str]) -> str:
    return " and ".join((", ".join(names[:-1]), names[-1])) if len(names) > 1 else names[0]


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
            battery, wires = _percent(share.battery), _percent(share.wires)
            yield f"Dip at {what}: battery {battery}, wires {wires}."
    given = condition.at_amplifier
    if given.battery_a:
        yield (
            f"The current of a hit comes from the batteries ({_percent(given.battery_a)}), the "
            f"alternator ({_percent(given.alternator_a)}) and capacitors "
            f"({_percent(given.capacitor_a)})."
        )


def _percent(share: float) -> str:
    return f"{round(share * 100) + 0} %"
