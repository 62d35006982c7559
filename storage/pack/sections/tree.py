"""A tree of devices with what leads to each: boxes, and lines from trunk to box.

Full lines are positive runs, dashed ones ground; a fuse is a small box in its line.
"""

from msgspec import Struct

from domain.build.records import Battery, GroundPoint, Run
from domain.document.records import find
from domain.sheet import RunResult
from domain.topics.wiring import DRAWN_ALREADY, Limb, Row, about
from domain.units.gauges import gauge_text
from storage.pack.fonts import fitted, width_mm
from storage.pack.ink import Ink, Style
from storage.pack.pack_context import Pack
from storage.pack.pages import LEFT, SMALL, Paper

POSITIVE = Style(0.4)
GROUND = Style(0.3, (1.6, 1.1))
FRAME = Style(0.35)
THIN = Style(0.15)

_BOX = 9.8
"""Height of a device [mm]."""

_TEXT = 5.2
"""Room for the words of a run above its line."""

MOST_LINES = 3
"""Lines drawn for a run of several wires; the words tell how many there are."""

_APART = 1.8
"""Between the lines of one run [mm]."""

_GAP = 1.4
STEP = 20.0
WIDE = 66.0
_POS_AT, _GROUND_AT, _WORDS_AT = 4.0, 8.5, 10.5
"""Where the lines down to positive and ground runs, and the words of a run, stand in a step."""


def high_of(line: Row) -> float:
    """Height of a row: its box, and the words of what leads to it [mm]."""
    return _BOX + _GAP + (_TEXT if line.limb.run else 0.0)


class Tree(Struct, frozen=True):
    """Draws rows of the tree with one step from level to level."""

    pack: Pack
    paper: Paper
    step: float = STEP
    wide: float = WIDE
    box: float = _BOX

    @property
    def ink(self) -> Ink:
        """What draws on the page at hand."""
        return self.paper.ink

    def row(self, line: Row, low: float, *, high: float, result: RunResult | None) -> None:
        """One device and the run that leads to it, between ``low`` and ``low + high``."""
        node, depth = line.limb, len(line.more)
        x = LEFT + self.step * depth
        middle = low + _GAP + _BOX / 2
        for level, more in enumerate(line.more, 1):
            for ground, goes_on in enumerate(more):
                at = self._trunk(level, bool(ground))
                own = level == depth and bool(ground) == node.ground
                if own:
                    self._down(at, bool(ground), low + high, low if goes_on else middle)
                elif goes_on:
                    self._down(at, bool(ground), low + high, low)
        for ground in (False, True):
            if any(child.ground == ground for child in node.below):
                self._down(self._trunk(depth + 1, ground), ground, low + _GAP, low)
        if node.run:
            start = self._trunk(depth, node.ground)
            self._across(start, x, middle, node, result)
            self.words(x - self.step + _WORDS_AT, low + _GAP + _BOX + 1.5, node.run, result)
        self.device(x, low + _GAP, node)

    def _trunk(self, level: int, ground: bool) -> float:
        share = self.step / STEP
        return LEFT + self.step * (level - 1) + (_GROUND_AT if ground else _POS_AT) * share

    def _down(self, x: float, ground: bool, top: float, low: float) -> None:
        self.ink.style(GROUND if ground else POSITIVE)
        self.ink.line(x, top, x, low)

    def _across(
        self, start: float, end: float, y: float, node: Limb, result: RunResult | None
    ) -> None:
        ink = self.ink
        run = find(self.pack.build, node.run)
        wires = min(run.count, MOST_LINES) if isinstance(run, Run) else 1
        style = GROUND if node.ground else POSITIVE
        apart = _APART if wires > 1 else 0.0
        for wire in range(wires):
            ink.style(style)
            here = y + apart * (wire - (wires - 1) / 2)
            ink.line(start, here, end, here)
            if isinstance(run, Run) and result is not None and result.fuse_a is not None:
                self._fuses(start, end, here, run, 1.2 if wires == 1 else apart * 0.4)
        if wires > 1:
            ink.style(style)
            for x in (start, end):
                ink.line(x, y - apart * (wires - 1) / 2, x, y + apart * (wires - 1) / 2)

    def _fuses(self, start: float, end: float, y: float, run: Run, half: float) -> None:
        """The boxes of a wire's fuses, ``half`` their height each way [mm]."""
        ink = self.ink
        count = max(1, run.fused + run.far_fused)
        # Beside the line that goes down to the ground runs, not on it.
        start = min(max(start, end - self.step + (_GROUND_AT + 1.0) * self.step / STEP), end)
        room = (end - start) / count
        wide = min(5.5, room * 0.8)
        for i in range(count):
            left = start + room * (i + 0.5) - wide / 2
            ink.style(FRAME)
            ink.bar(left, y - half, wide, 2 * half, grey=1.0)
            ink.box(left, y - half, wide, 2 * half)
            ink.line(left, y, left + wide, y)

    def words(self, x: float, y: float, id: str, result: RunResult | None) -> None:
        """Id, figures, then as much of the name as there is room for."""
        pack, ink = self.pack, self.ink
        if result is not None:
            pinned = "" if result.gauge_auto else " *"
            length = pack.show("length", result.length_m) + ("?" if result.length_auto else "")
            figures = f"{gauge_text(result.gauge, result.count)}{pinned}, {length}"
            figures += f", fuse {pack.fuse(result)}" if result.fuse_a is not None else ""
            figures += ", there already" if result.existing else ""
        else:
            figures = "not joined at both ends"
        ink.text(x, y, id, SMALL, bold=True)
        x += width_mm(id, SMALL, True) + 1.5
        room = LEFT + self.paper.across - x
        text = fitted(f"{figures}: {pack.name(id)}", SMALL, room)
        ink.style(THIN)
        ink.text(x, y, text, SMALL)

    def device(self, x: float, low: float, node: Limb) -> None:
        """The box of a device, or the sign of a ground point."""
        ink, pack = self.ink, self.pack
        device = find(pack.build, node.device)
        name = pack.name(node.device) if node.device else "not joined yet"
        indent = 2.0
        ink.style(FRAME)
        if isinstance(device, GroundPoint):
            indent = 8.0
            self._ground_sign(x, low + _BOX / 2)
        else:
            ink.bar(x, low, self.wide, _BOX, grey=1.0)
            ink.box(x, low, self.wide, _BOX)
            if isinstance(device, Battery):
                ink.style(THIN)
                ink.box(x + 0.8, low + 0.8, self.wide - 1.6, _BOX - 1.6)
        most = self.wide - indent - 2
        ink.text(x + indent, low + 5.6, name, SMALL, bold=True, most=most)
        said = DRAWN_ALREADY if node.again else about(pack.subject, device)
        said = f"{node.device}: {said}" if node.device else said
        ink.text(x + indent, low + 1.8, said, SMALL, most=most)

    def _ground_sign(self, x: float, y: float) -> None:
        ink = self.ink
        ink.line(x, y, x + 4.0, y)
        for at, half in ((4.0, 2.6), (5.0, 1.7), (6.0, 0.8)):
            ink.line(x + at, y - half, x + at, y + half)
