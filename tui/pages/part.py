"""A custom part at the size of the screen: flat pattern, folded part to be turned, its steps."""

from collections.abc import Sequence
from typing import ClassVar

from textual.events import Key

from domain.build.records import Build, Part
from domain.document.records import find, label
from domain.fabrication.shape.folded_faces import TILT_DEG, TURN_DEG
from tui.pages.page import Page, TextPage, wrapped
from tui.pictures.flat_part import bend_lines, flat_of, flat_picture, hole_lines
from tui.pictures.folded_part import folded_picture
from tui.widgets.line_view import Line, plain_line
from tui.workbench import Workbench

_TURNS = {"left": (-15, 0), "right": (15, 0), "up": (0, 15), "down": (0, -15)}
"""What the arrows turn the folded part by: about the upright axis, and over [degrees]."""


class PartPage(Page):
    """The pictures of one part after the other."""

    more_keys: ClassVar[tuple[tuple[str, str, str], ...]] = (
        ("space", "flat/folded", "space"),
        ("R", "turn", "r"),
        ("N", "next", "n"),
        ("S", "steps", "s"),
        ("T", "template", "t"),
    )

    def __init__(self, bench: Workbench, part: str) -> None:
        super().__init__()
        self.bench = bench
        self.part = part
        self.folded = self.sideways = False
        self.turn_deg, self.tilt_deg = TURN_DEG, TILT_DEG

    def heading(self) -> str:
        """Which part, and how many there are."""
        ids = [part.id for part in self.bench.build.parts]
        turned = ", turned: its lower edge is on the left" if self.sideways else ""
        way = "folded, arrows turn it" if self.folded else f"flat pattern{turned}"
        name = label(self.bench.build, self.part)
        return f"{name}: {way} ({ids.index(self.part) + 1} of {len(ids)})"

    async def on_key(self, event: Key) -> None:
        """Arrows turn the folded part; else as on every page."""
        if self.folded and event.key in _TURNS:
            event.stop()
            event.prevent_default()
            self.turn(*_TURNS[event.key])
            return
        await super().on_key(event)

    def turn(self, about_deg: float, over_deg: float) -> None:
        """Turn the folded part."""
        self.turn_deg = (self.turn_deg + about_deg) % 360
        self.tilt_deg = min(max(self.tilt_deg + over_deg, -90.0), 90.0)
        self.draw()

    def pressed(self, key: str) -> None:
        """Space folds, r turns, n goes on, s shows the steps, t writes the template."""
        if key in ("space", "f"):
            self.folded = not self.folded
            self.scroll(-9999)
            self.draw()
        elif key == "r":
            if self.folded:
                self.turn(90, 0)
            else:
                self.sideways = not self.sideways
                self.draw()
        elif key == "n":
            ids = [part.id for part in self.bench.build.parts]
            self.part = ids[(ids.index(self.part) + 1) % len(ids)]
            self.draw()
        elif key == "s":
            self.app.push_screen(StepsPage(self.bench.build, self.part))
        elif key == "t":
            from tui.pages.template import ask_for_template

            ask_for_template(self.app, self.bench, self.part)

    def body(self, width: int, height: int) -> Sequence[str | Line]:
        """The picture, as high as the screen; bends and holes below it."""
        build = self.bench.build
        if self.folded:
            return folded_picture(build, self.part, width - 1, height, self.turn_deg, self.tilt_deg)
        lines: list[str | Line] = [
            *flat_picture(build, self.part, width - 1, height, sideways=self.sideways)
        ]
        flat = flat_of(build, self.part)
        if isinstance(flat, str):
            return lines
        for title, rows in (
            ("Bends", bend_lines(build, flat)),
            ("Holes, from the lower left corner", hole_lines(build, flat)),
        ):
            if rows:
                lines += ["", plain_line(title, "bold")]
                lines += [part for row in rows for part in wrapped(row, width - 1)]
        return lines


class StepsPage(TextPage):
    """The steps that make a part, in order."""

    def __init__(self, build: Build, part_id: str) -> None:
        super().__init__(f"Making {label(build, part_id)}", step_lines(build, part_id))


def step_lines(build: Build, part_id: str) -> list[str]:
    """Each step with its tool, size, speed and caution."""
    from domain.fabrication.steps import steps

    part = find(build, part_id)
    found = steps(build, part) if isinstance(part, Part) else ()
    if not found:
        return ["No steps yet: the part has no flat pattern (see the findings)."]
    lines = []
    for step in found:
        lines.append(f"{step.order:>2}. {step.what[:1].upper()}{step.what[1:]}")
        for name, text in (
            ("with", step.tool),
            ("size", step.size),
            ("speed", step.speed),
            ("CAUTION", step.caution),
        ):
            if text:
                lines.append(f"      {name}: {text}")
        lines.append("")
    return lines
