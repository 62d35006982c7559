"""Workings of the bill of materials: who needs how much, and how it is sold."""

from math import ceil

from domain.build.records import table_of
from domain.cable.looms import bundle_of, looms
from domain.cable.sold_lengths import SOLD_BY_M, round_up
from domain.materials.bill import SHEET_STEP_M2, materials_list
from domain.materials.loom_materials import CLAMP_SCREW, loom_needs
from domain.materials.takeoff import ONE_FOR_ALL, is_extra
from domain.sheet import MaterialLine
from domain.workings.cited import PRACTICE, cite
from domain.workings.context import Context
from domain.workings.looms import BUNDLES, explained
from domain.workings.makers import Makers
from domain.workings.working import Input, Working

_BY_LOOMS = ("Loom", "Grommets", "Clamps")
"""Groups that go round bundles, not round single runs."""


def line_id(line: MaterialLine) -> str:
    """What names a line: group, item, size and unit."""
    return " / ".join((line.group, line.item, line.size, line.unit))


def _shares(c: Context, line: MaterialLine) -> dict[str, float]:
    """How much of a line each record asks for: the list of that record alone."""
    build, sheet = c.build.but(extras=()), c.sheet
    bare = build.but(blocks=(), grounds=())
    shares = {}
    for id in line.asked_by:
        table = table_of(id)
        if table == "runs":
            alone = materials_list(build, tuple(r for r in sheet.runs if r.id == id), ())
        elif table in ("remotes", "leads"):
            remotes = tuple(r for r in sheet.remotes if r.id == id)
            leads = tuple(lead for lead in sheet.leads if lead.record == id)
            alone = materials_list(build, (), (), leads=(remotes, leads))
        elif table == "parts":
            alone = materials_list(bare, (), tuple(p for p in sheet.parts if p.id == id))
        else:
            only = {table: tuple(r for r in getattr(c.build, table) if r.id == id)}
            if table == "batteries":
                # The first is there already: without it another one would count as the first.
                only = {table: (*build.batteries[:1], *only[table])}
            runs = sheet.runs if table == "grounds" else ()
            own = bare.but(**only)
            blocks = tuple(b for b in sheet.blocks if b.id == id)
            alone = materials_list(own, runs, (), blocks, isolators=sheet.isolators)
        shares[id] = sum(other.needed for other in alone if line_id(other) == line_id(line))
    return shares


def _sheets(c: Context, line: MaterialLine) -> Working:
    """Sheets are counted in a layout. What the parts that are on them need is the least."""
    from domain.fabrication.nesting.cut_sheets import cut_lists

    header, parts = c.build.header, {part.id: part for part in c.sheet.parts}
    own = tuple(parts[id] for id in line.asked_by)
    inputs = [
        Input(f"A {p.id}", "its blanks", p.flat_width_m * p.flat_length_m * p.quantity, "m2")
        for p in own
    ]
    inputs.append(Input("S", "one sheet", line.each_m2 or 0.0, "m2"))
    formula, value = "number of such sheets in the layout", 0.0
    # The line is that of the quick layout or of the full one, which takes longer.
    for quick in (True, False):
        lists = cut_lists(c.build, c.sheet.parts, quick=quick)
        if line in materials_list(c.build, (), c.sheet.parts, lists=lists):
            each = next(e for e in lists if {b.id for b in e.blanks} >= set(line.asked_by))
            value = next(float(n.count) for n in each.counts if line.size.endswith(n.size.name))
            if each.layout == "by area":
                formula = "ceil(sum of A / S)"
            inputs.append(Input("k", "kerf", each.nest.kerf_m, "m"))
            break
    steps = (f"cut by {header.cutting.value}; {line.note}",)
    return Working(f"Sheets: {line.item}", formula, tuple(inputs), steps, value, "each", PRACTICE)


def each_m2(c: Context, line: MaterialLine, _: str) -> Working:
    """The area of one sheet."""
    from domain.fabrication.nesting.cut_sheets import cut_lists

    for each in cut_lists(c.build, c.sheet.parts, quick=True):
        for size in each.sizes:
            if line.each_m2 == size.area_m2 and line.size.endswith(size.name):
                w = Input("w", "width", size.width_m, "m")
                h = Input("l", "length", size.length_m, "m")
                return Working("Area of one sheet", "w l", (w, h), (), size.area_m2, "m2", PRACTICE)
    none = ("no sheets are counted here",)
    return Working("Area of one sheet", "w l", (), none, line.each_m2, "m2", PRACTICE)


def needed(c: Context, line: MaterialLine, _: str) -> Working:
    """What the records behind a line need together."""
    if not is_extra(line) and (line.group in _BY_LOOMS or line.item == CLAMP_SCREW):
        return _of_looms(c, line)
    if line.each_m2 is not None:
        return _sheets(c, line)
    shares = _shares(c, line)
    inputs = tuple(Input(id, "it needs", share, line.unit) for id, share in shares.items())
    formula, value = "sum of what each needs", sum(shares.values())
    if line.note.startswith(ONE_FOR_ALL):
        formula, value = "one for all of them", max(shares.values())
    steps = (line.note,) if line.note else ()
    return Working(f"Needed: {line.item}", formula, inputs, steps, value, line.unit, PRACTICE)


def _of_looms(c: Context, line: MaterialLine) -> Working:
    """What the looms need: how much each stretch, and how thick the bundle in it is."""
    build, results = c.build, {run.id: run for run in c.sheet.runs}
    needs = [
        need
        for need in loom_needs(build, c.sheet.runs, looms(build, c.sheet.runs))
        if (need.group, need.item, need.size, need.unit)
        == (line.group, line.item, line.size, line.unit)
    ]
    bundled = [need for need in needs if len(need.inside) > 1]
    steps = [line.note] if line.note else []
    for need in dict.fromkeys(bundled):
        size = bundle_of(results[id] for id in need.inside)
        steps.append(f"{need.loom}: {' + '.join(need.inside)}, {explained(size)}")
    source = cite(
        "ABYC-E11" if line.group == "Clamps" else "", *(BUNDLES if bundled else ()), PRACTICE
    )
    return Working(
        f"Needed: {line.item}",
        "sum of what each needs",
        tuple(
            Input(need.loom, f"round {' + '.join(need.inside)}", need.needed, line.unit)
            for need in needs
        ),
        tuple(steps),
        sum(need.needed for need in needs),
        line.unit,
        source,
    )


def quantity(c: Context, line: MaterialLine, _: str) -> Working:
    """What to buy."""
    if line.each_m2 is not None:
        return _sheets(c, line)
    wanted = Input("n", "needed", float(needed(c, line, "").value or 0), line.unit)
    need = float(wanted.value)
    inputs = [wanted]
    if line.unit in ("m", "m2"):
        step = SOLD_BY_M[c.build.header.units] if line.unit == "m" else SHEET_STEP_M2
        inputs.append(Input("s", "sold by", step, line.unit))
        formula, value = "ceil(n / s) s", round_up(need, step)
    else:
        formula, value = "ceil(n)", float(ceil(need))
    if line.group == "Fuses":
        formula += " + ceil(n / 2) spares"
        value += ceil(need / 2)
    title = f"To buy: {line.item}"
    return Working(title, formula, tuple(inputs), (), value, line.unit, PRACTICE)


WORKINGS: Makers = {"material_line": {"needed": needed, "quantity": quantity, "each_m2": each_m2}}
