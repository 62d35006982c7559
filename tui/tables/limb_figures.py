"""The figures that the drawing of the wiring shows beside its wires, one at a time.

Each is shown in one of the solved states, or at full tone with the posts held at the design
voltage, for which wires and fuses are chosen.
"""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from decimal import Decimal

from domain.build.records import Run
from domain.document.records import find
from domain.money.cents import price_text
from domain.sheet import NetworkState, SegmentResult, Sheet
from domain.topics.tables import Subject
from domain.units.show import NOTHING

DESIGN = ""
"""Stands for the state that wires and fuses are chosen for."""

DESIGN_TITLE = "full tone, as wires are chosen"


@dataclass(frozen=True, slots=True)
class Look:
    """What the drawing shows: which figure, in which state, which blocks are folded."""

    figure: str = "drop"
    state: str = DESIGN
    folded: frozenset[str] = frozenset()
    prices: Mapping[str, Decimal] = field(default_factory=dict)
    """What each record's share of the materials costs, where the figure is the price."""


PLAIN = Look()
"""What a drawing shows at first."""


@dataclass(frozen=True, slots=True)
class LimbFigure:
    """One figure: of a wire and of the device at its end, "" where there is none."""

    key: str
    title: str
    says: str
    """What it is, for the line below the drawing."""
    of: Callable[[Subject, Look, str, str], str]
    """From the ids of run and device to text."""
    in_states: bool = True
    """Whether it differs from state to state."""


def state_of(sheet: Sheet, id: str) -> NetworkState | None:
    """A solved state by its id; ``None``: the one that wires are chosen for."""
    return next((state for state in sheet.states if state.id == id), None)


def next_state(sheet: Sheet, id: str) -> str:
    """The state after this one, round at the end."""
    ids = [DESIGN, *(state.id for state in sheet.states)]
    return ids[(ids.index(id) + 1) % len(ids)] if id in ids else DESIGN


def state_title(sheet: Sheet, id: str) -> str:
    """What a state is called."""
    state = state_of(sheet, id)
    return DESIGN_TITLE if state is None else state.title


def _current(subject: Subject, look: Look, run: str, device: str) -> str:
    state, result = state_of(subject.sheet, look.state), subject.sheet.run(run)
    if result is not None:
        amperes = result.design_a * result.count
        if state is not None:
            amperes = abs(state.current_a.get(run, 0.0))
        return subject.show("current", amperes)
    if state is not None and device in state.battery_a:
        return subject.show("current", state.battery_a[device])
    return ""


def _drop(subject: Subject, look: Look, run: str, device: str) -> str:
    result = subject.sheet.run(run)
    if result is None:
        return ""
    state = state_of(subject.sheet, look.state)
    return subject.show("voltage", result.drop_v if state is None else drop_v(state, subject, run))


def drop_v(state: NetworkState, subject: Subject, run: str) -> float | None:
    """The loss from one end of a wire to the other in a state [V], by the solved voltages."""
    result = subject.sheet.run(run)
    if result is None:
        return None
    side = "pos" if result.polarity == "positive" else "neg"
    ends = []
    for id in (result.source, result.target):
        node = next((n for n in (f"{id}_{side}", id) if n in state.node_v), None)
        if node is None:  # an isolator, of which either side may be meant
            return abs(state.current_a.get(run, 0.0)) * result.resistance_ohm
        ends.append(state.node_v[node])
    return abs(ends[0] - ends[1])


def _volts(subject: Subject, look: Look, run: str, device: str) -> str:
    state = state_of(subject.sheet, look.state)
    if state is None or not device:
        return ""
    for known in (state.amplifier_v, state.battery_v):
        if device in known:
            return subject.show("voltage", known[device])
    return subject.show("voltage", state.node_v[device]) if device in state.node_v else ""


def _heat(subject: Subject, look: Look, run: str, device: str) -> str:
    result, state = subject.sheet.run(run), state_of(subject.sheet, look.state)
    record = find(subject.build, run) if run else None
    if result is None or not isinstance(record, Run):
        return ""
    warm = result.temperature_c
    if state is not None:
        from domain.build.choices import Cover
        from domain.electrical.ampacity import temperature_c

        warm = temperature_c(
            abs(state.current_a.get(run, 0.0)) / result.count,
            result.gauge,
            record.metal,
            record.insulation,
            result.ambient_c,
            result.bundle,
            Cover(result.cover),
        )
    return subject.show("temperature", warm)


def _protection(subject: Subject, look: Look, run: str, device: str) -> str:
    pieces = subject.sheet.segments_of(run) if run else []
    if not pieces:
        return ""
    return max((_piece(piece) for piece in pieces), key=lambda told: told[0])[1]


def _piece(piece: SegmentResult) -> tuple[float, str]:
    """How near a piece comes to harm: what a fuse takes to open over what the wire stands."""
    if piece.harm != "none":
        return 1e9, piece.harm.upper()
    if piece.opens_s is None or not piece.stands_s:
        return 0.0, "ok"
    share = piece.opens_s / piece.stands_s
    return share, f"ok, {share:.0%}" if share >= 0.005 else "ok"


def _price(subject: Subject, look: Look, run: str, device: str) -> str:
    known = [look.prices[id] for id in (run, device) if id in look.prices]
    return price_text(sum(known, Decimal(0)), "") if known else NOTHING if run else ""


def _holds(subject: Subject, look: Look, run: str, device: str) -> str:
    result = subject.sheet.run(run)
    return "" if result is None else subject.show("current", result.ampacity_a * result.count)


FIGURES: tuple[LimbFigure, ...] = (
    LimbFigure("drop", "Drop", "volts lost from one end of the wire to the other", _drop),
    LimbFigure("current", "Current", "what flows in the wire", _current),
    LimbFigure("volts", "Volts", "what there is at the device", _volts),
    LimbFigure("heat", "Heat", "how warm the wire gets", _heat),
    LimbFigure("carries", "Carries", "what the wire carries for good there", _holds, False),
    LimbFigure(
        "protection",
        "Protected",
        "what a short uses up of what the wire stands, until a fuse opens",
        _protection,
        False,
    ),
    LimbFigure("price", "Price", "its share of the materials, at the shop's prices", _price, False),
)
"""In the order in which the key steps through them."""

BY_KEY = {figure.key: figure for figure in FIGURES}


def next_figure(key: str) -> str:
    """The figure after this one, round at the end."""
    keys = list(BY_KEY)
    return keys[(keys.index(key) + 1) % len(keys)]
