"""The figures that the drawing of the wiring shows beside its wires, one at a time.

Each is shown in one of the solved states, or at full tone with the posts held at the design
voltage, for which wires and fuses are chosen.
"""

from collections.abc import Callable, Mapping
from decimal import Decimal

from msgspec import Struct, field

from domain.electrical.network import wire_in_state
from domain.money.cents import price_text
from domain.sheet import NetworkState, SegmentResult, Sheet
from domain.topics.tables import Subject
from domain.units.show import NOTHING

DESIGN = ""
"""Stands for the state that wires and fuses are chosen for."""

DESIGN_TITLE = "full power, as wires are chosen"


class Look(Struct, frozen=True):
    """What the drawing shows: which figure, in which state, which blocks are folded."""

    figure: str = "drop"
    state: str = DESIGN
    folded: frozenset[str] = frozenset()
    prices: Mapping[str, Decimal] = field(default_factory=dict)
    """What each record's share of the materials costs, where the figure is the price."""


PLAIN = Look()
"""What a drawing shows at first."""


class LimbFigure(Struct, frozen=True):
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
            amperes = wire_in_state.current_a(state, result)
        return subject.show("current", amperes)
    if state is not None and device in state.battery_a:
        return subject.show("current", state.battery_a[device])
    return ""


def _drop(subject: Subject, look: Look, run: str, device: str) -> str:
    result, state = subject.sheet.run(run), state_of(subject.sheet, look.state)
    if result is None:
        return ""
    lost = result.drop_v if state is None else wire_in_state.drop_v(state, result)
    return subject.show("voltage", lost)


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
    if result is None:
        return ""
    warm: float | None = result.temperature_c
    if state is not None:
        warm = wire_in_state.temperature_c(subject.build, state, result)
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
    LimbFigure("drop", "Drop", "lost from end to end of the wire", _drop),
    LimbFigure("current", "Current", "what flows in the wire", _current),
    LimbFigure("volts", "Volts", "what there is at the device", _volts),
    LimbFigure("heat", "Heat", "how warm the wire gets", _heat),
    LimbFigure("carries", "Ampacity", "what the wire carries there continuously", _holds, False),
    LimbFigure(
        "protection",
        "Protected",
        "what a short uses up of what the wire withstands, until a fuse opens",
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
