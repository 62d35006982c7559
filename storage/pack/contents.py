"""The sections of a pack, by name and title. Importing this loads no drawing code."""

from enum import StrEnum

PAGES = {
    "summary": "Summary",
    "findings": "Findings and cautions",
    "work": "Work order",
    "diagram": "One-line diagram",
    "runs": "Run schedule",
    "harness": "Harness",
    "fuses": "Fuse map",
    "grounds": "Ground map",
    "materials": "Bill of materials",
    "cuts": "Cut list",
    "labels": "Labels",
    "parts": "Custom parts",
    "readings": "Readings sheet",
    "supply": "Supply",
    "protection": "Protection",
    "quote": "Quote",
    "templates": "Full-size templates",
}
"""Pages by name, with their titles. What the bay needs comes before what explains."""

DATA = "data"
"""The JSON and CSV files."""

CONTENTS = {**PAGES, DATA: "JSON and CSV"}
"""All that may be asked for, by name, with titles."""


class LabelStock(StrEnum):
    """What label printers print on: the common sizes of the trade. Common practice, memory."""

    TAPE_9 = "9"
    TAPE_12 = "12"
    TAPE_18 = "18"
    TAPE_24 = "24"
    ADDRESS = "62x29"

    @property
    def high_mm(self) -> float:
        """Height of a label [mm]: as wide as the tape is."""
        return float(self.value.split("x")[-1])

    @property
    def long_mm(self) -> float:
        """Length of a label [mm]; 0: tape, cut to what stands on it."""
        return float(self.value.split("x")[0]) if "x" in self.value else 0.0

    @property
    def called(self) -> str:
        """What it is called."""
        if self.long_mm:
            return f"{self.long_mm:g} x {self.high_mm:g} mm labels"
        return f"{self.high_mm:g} mm tape"


LABEL_STOCKS = {stock.value: stock.called for stock in LabelStock}
"""What they are called, by name."""


FULL_HARNESS = {"full": "full size, on long paper"}
"""How the harness is drawn too, besides its page, by name."""

NAMES = tuple(CONTENTS)
