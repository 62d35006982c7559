"""Which figures of the sheet stand behind a cell, so that their workings can be shown."""

from typing import TYPE_CHECKING, Any

from domain.build.records import Build
from domain.sheet import Sheet
from domain.workings.working import Figure, Working
from tui.tables.columns import Column

if TYPE_CHECKING:
    from domain.plan import Plan
    from tui.tables.readings import ReadingRow

_BEHIND: dict[tuple[str, str], tuple[str, ...]] = {
    ("amplifiers", "power"): ("amplifier_load", "rated_w"),
    ("amplifiers", "·full"): ("amplifier_load", "design_a"),
    ("amplifiers", "·prog"): ("amplifier_load", "programme_a"),
    ("amplifiers", "·drop"): ("amplifier_load", "drop_v", "drop_feed_v", "drop_return_v"),
    ("amplifiers", "efficiency"): ("amplifier_load", "efficiency"),
    ("appliances", "power_w"): ("amplifier_load", "rated_w"),
    ("appliances", "·full"): ("amplifier_load", "design_a"),
    ("appliances", "·average"): ("amplifier_load", "programme_a"),
    ("appliances", "·drop"): ("amplifier_load", "drop_v", "drop_feed_v", "drop_return_v"),
    ("appliances", "efficiency"): ("amplifier_load", "efficiency"),
    ("returns", "·offset"): ("amplifier_load", "ground_offset_v"),
    ("returns", "·return"): ("amplifier_load", "drop_return_v"),
    ("runs", "length_m"): ("run_result", "length_m", "wire_m"),
    ("runs", "slack_m"): ("run_result", "wire_m"),
    ("runs", "gauge"): ("run_result", "area_mm2", "ampacity_a", "resistance_ohm", "conductor_kg"),
    ("runs", "fuse_a"): ("run_result", "fuse_a", "fuse_least_a", "protected_a"),
    ("runs", "fuse_distance_m"): ("run_result", "fuse_distance_m", "unprotected_m"),
    ("runs", "·drop"): ("run_result", "drop_v", "resistance_ohm"),
    ("runs", "·temp"): ("run_result", "temperature_c", "ambient_c", "heat_w"),
    ("runs", "·a"): ("run_result", "design_a", "programme_a"),
    ("runs", "·ampacity"): ("run_result", "ampacity_a"),
    ("runs", "cover"): ("run_result", "ampacity_a"),
    ("designs", "·kg"): ("design", "copper_kg"),
    ("designs", "·worst"): ("design", "worst_drop_v"),
    ("spots", "·rank"): ("spot_result", "rank"),
    ("spots", "·why"): ("spot_result", "rank", "heat_margin_c"),
    ("spots", "onward_m"): ("spot_result", "wire_m"),
    ("grounds", "resistance_ohm"): ("ground_result", "resistance_ohm"),
    ("grounds", "·a"): ("ground_result", "design_a"),
    ("grounds", "·rise"): ("ground_result", "rise_v"),
    ("blocks", "rated_a"): ("isolator_result", "lasting_a"),
    ("blocks", "peak_a"): ("isolator_result", "passes_a", "full_a", "joining_a", "starting_a"),
    ("materials", "·item"): ("material_line", "quantity", "needed"),
    ("materials", "·size"): ("material_line", "quantity", "needed"),
    ("materials", "·buy"): ("material_line", "quantity", "needed"),
    ("parts", "·flat"): ("part_result", "flat_length_m", "flat_width_m", "bend_allowance_m"),
    ("parts", "·area"): ("part_result", "area_m2"),
    ("parts", "·mass"): ("part_result", "mass_kg"),
    ("parts", "·margin"): (
        *("strength_result", "margin", "strength_pa", "stress_pa", "load_kg", "own_mass_kg"),
        *("heat_fraction", "shaking_margin", "shaking_pa", "response_ratio"),
    ),
    ("parts", "·sag"): ("strength_result", "deflection_m", "load_kg", "own_mass_kg", "reach_m"),
    ("parts", "·mode"): ("strength_result", "natural_hz", "psd_m2_s3", "quality"),
}
"""(table, column) -> kind of the sheet's record, and the fields behind the cell."""

STUDY = (
    *("fault_near_a", "fault_far_a", "must_open_a", "opens_far_s"),
    *("stands_far_s", "margin", "breaking_a"),
)
"""Figures of a fuse's study, in the order of their telling."""

SEGMENT = ("lasting_a", "carries_a", "limit_a", "short_a", "opens_s", "stands_s", "shared_ratio")
"""Figures of a piece of wire that say why it is safe."""

SUPPLY = (
    *("design_a", "programme_a", "cruise_balance_a", "idle_balance_a"),
    *("minutes_to_half_idle", "play_minutes", "sag_v"),
)
"""The main figures of the live pane."""


def figures_behind(column: Column, record: Any) -> list[Figure]:
    """The figures behind a cell; empty where the user typed what is there."""
    kind, *fields = _BEHIND.get((column.table, column.field), ("",))
    return [Figure(kind, record.id, field) for field in fields]


STRENGTH = ("·margin", "·sag", "·mode")
"""Columns of parts that follow from the strength of the folded part."""


def strength_lines(plan: "Plan", figures: list[Figure], shown: str) -> list[str]:
    """What is shown of a part's strength, then its workings; a sentence where it has none."""
    lines = working_lines(plan, figures)
    if not lines:
        return ["There is no strength to work out: the part carries nothing, or no screw holds it."]
    return [shown, "", *lines]


def working_lines(plan: "Plan", figures: list[Figure]) -> list[str]:
    """The workings of these figures as lines, a blank one between them.

    Figures that the sheet does not have are passed over.
    """
    from domain.workings.registry import text, workings

    return _joined(figures, lambda figure: workings(plan, figure), text)


def reading_lines(build: Build, sheet: Sheet, row: "ReadingRow") -> list[str]:
    """The workings of a predicted reading and its tolerance; empty where none is predicted."""
    from domain.workings.electrical import readings
    from domain.workings.registry import text

    of = row.predicted or row.judged
    if of is None:
        return []
    makers = [readings.predicted_v, readings.tolerance_v]
    return _joined(makers, lambda maker: maker(build, sheet, of), text)


def _joined(wanted: Any, made: Any, text: Any) -> list[str]:
    lines: list[str] = []
    for each in wanted:
        try:
            working: Working = made(each)
        except LookupError:
            continue
        lines += ["", *text(working)] if lines else text(working)
    return lines
