"""The sections of a pack, by name and title. Importing this loads no drawing code."""

PAGES = {
    "summary": "Summary",
    "findings": "Findings and cautions",
    "work": "Work order",
    "diagram": "One-line diagram",
    "runs": "Run schedule",
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

LABEL_STOCKS = {
    "9": "9 mm tape",
    "12": "12 mm tape",
    "18": "18 mm tape",
    "24": "24 mm tape",
    "62x29": "62 x 29 mm labels",
}
"""What label printers print on, by name: the common sizes of the trade. Common practice."""

NAMES = tuple(CONTENTS)
