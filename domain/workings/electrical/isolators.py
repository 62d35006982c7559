"""Workings of isolators: what they pass for good, and for seconds."""

from domain.build.records import Block
from domain.document.records import find
from domain.electrical.sizing import joining as closing
from domain.electrical.sizing.joining import Surge
from domain.electrical.surges import isolators
from domain.sheet import IsolatorResult
from domain.workings.cited import ENTERED, LAWS, PRACTICE, cite, plan, plan_source
from domain.workings.context import Context
from domain.workings.makers import Makers
from domain.workings.working import Input, Working


def _block(c: Context, id: str) -> Block:
    found = find(c.build, id)
    assert isinstance(found, Block)
    return found


def lasting(c: Context, r: IsolatorResult, _: str) -> Working:
    """What it passes for good."""
    each = isolators.lasting_a(c.build, c.wiring, c.sheet.states, _block(c, r.id))
    inputs = tuple(
        Input(f"I_{n}", why, amperes, "A") for n, (why, amperes) in enumerate(each.items(), 1)
    )
    steps = ("the charge, or (E1 - E2) / (R1 + R2) of a full and a half-empty battery",)
    value = max(each.values())
    return Working("Passes for good", "the greatest of I", inputs, steps, value, "A", PRACTICE)


def full(c: Context, r: IsolatorResult, _: str) -> Working:
    """What the music draws through it at full output."""
    block = _block(c, r.id)
    behind = isolators.runs_behind(c.build, c.wiring, block)
    states = [s for s in c.sheet.states if s.converged and s.id.endswith("tone")]
    flows = {s.title: abs(sum(s.current_a[id] for id in behind)) for s in states}
    inputs = tuple(Input(f"I_{n}", title, a, "A") for n, (title, a) in enumerate(flows.items(), 1))
    steps = (f"what leaves it through {', '.join(behind) or 'nothing'}, as solved",)
    value = max(flows.values(), default=0.0)
    return Working("Passes at full output", "the greatest of I", inputs, steps, value, "A", LAWS)


def _surge(title: str, surge: Surge, steps: tuple[str, ...], source: str) -> Working:
    if surge.amperes == 0:
        return Working(title, "none", (), steps, 0.0, "A", source)
    inputs = [
        Input("V", "voltage that drives it", surge.volts, "V"),
        Input("R", "all in the circle: batteries, wire, fuses, contacts", surge.ohm, "ohm"),
    ]
    formula = "I = V / R"
    if abs(surge.share) != 1:
        inputs.append(Input("k", "share of it that takes this way", abs(surge.share), "-"))
        formula = "I = k V / R"
    return Working(title, formula, tuple(inputs), steps, surge.amperes, "A", source)


def joining(c: Context, r: IsolatorResult, _: str) -> Working:
    """What it passes as it closes."""
    network = closing.cold(c.build, c.wiring, c.items, c.sized)
    surge = closing.joining(c.build, network, _block(c, r.id))
    steps = (
        "one side full with its alternators running, the other half empty, at their least "
        "resistances, whichever way round is more; a DC-DC charger limits itself",
    )
    source = cite(LAWS, plan_source("isolator_ohm"))
    return _surge("Passes as it closes", surge, steps, source)


def starting(c: Context, r: IsolatorResult, _: str) -> Working:
    """What it passes while the engine is started."""
    network = closing.cold(c.build, c.wiring, c.items, c.sized)
    surge = isolators.starting(c.build, network, _block(c, r.id), c.sheet.states)
    steps = (
        "a switch that is left closed, or a relay that stays joined with the engine off: the first "
        "battery half empty, the others full; all other relays are open then",
    )
    source = cite(LAWS, plan_source("starter_ohm"))
    return _surge("Passes while the engine is started", surge, steps, source)


def passes(c: Context, r: IsolatorResult, _: str) -> Working:
    """What it stands for seconds."""
    block, title = _block(c, r.id), "Stands for seconds"
    if block.peak_a is not None:
        given = Input("I", "peak rating", block.peak_a, "A")
        return Working(title, "I as entered", (given,), (), block.peak_a, "A", ENTERED)
    if block.rated_a is None:
        steps = ("neither its rating nor its peak rating is entered",)
        return Working(title, "none", (), steps, None, "A", ENTERED)
    inputs = (Input("I", "rating", block.rated_a, "A"), plan("k", "overcurrent_fraction"))
    steps = ("common practice for an intermittent rating that is not entered",)
    value = isolators.passes_a(block)
    return Working(title, "k I", inputs, steps, value, "A", PRACTICE)


WORKINGS: Makers = {
    "isolator_result": {
        "lasting_a": lasting,
        "full_a": full,
        "joining_a": joining,
        "starting_a": starting,
        "passes_a": passes,
    }
}
