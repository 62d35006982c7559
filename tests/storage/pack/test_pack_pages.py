"""Packs read back by another library: everything is there, where it belongs, and can be read.

Expected values: conservation (each run, part, label and section of the build is on a page), and
the paper's own size (ISO 216, ANSI/ASME Y14.1).
"""

from functools import cache
from hashlib import sha256
from itertools import pairwise
from pathlib import Path
from random import Random
from typing import Any

import numpy as np
import pytest
import soundfile

from domain.build.dialect import speech_of
from domain.build.edits import apply
from domain.build.records import Alternator, Block, Build, Run
from domain.cable.cut_list import cut_list
from domain.evaluate import evaluate, make_plan
from domain.fabrication.shape.flat_pattern import Flat, develop
from domain.full_results import full_results
from domain.materials.takeoff import ONE_FOR_ALL
from domain.money.quote import quote
from domain.topics.kick.song import level_edit, noted
from domain.topics.tables import Subject
from storage.music import judged_music
from storage.pack.contents import PAGES
from storage.pack.pack import pack_files
from storage.pack.tiles import PAPERS
from tests.counts import FULL
from tests.domain.electrical.random_builds import random_build
from tests.storage.pack.builds import ODD, builds, money, plan, result
from tests.storage.pack.measuring import MM, drawn, open_pdf

NAMES = ("estate_car", "camper_van", "hatchback", "odd", "largest")
FOOT_MM = 16.0
"""The foot of a page of text."""

EDGE_MM = 8.0
"""Nothing is printed nearer to the edge of the paper."""


@cache
def pdf(name: str, paper: str = "a4") -> Any:
    files = pack_files(
        plan(name),
        result(name),
        paper=paper,
        revision="7",
        date="2026-03-01",
        money=money(name) if name != "largest" else None,
    )
    return open_pdf(next(content for file, content in files.items() if file.endswith(".pdf")))


def files_of(build: Build, **how: Any) -> dict[str, bytes]:
    worked = make_plan(build)
    return pack_files(worked, full_results(worked), **how)


def squeezed(text: str) -> str:
    """A text without its spaces: lines may break anywhere."""
    return "".join(text.split())


@cache
def texts(name: str, paper: str = "a4") -> list[str]:
    """The words of each page."""
    return [page.get_text() for page in pdf(name, paper)]


@cache
def text_of(name: str, title: str) -> str:
    """The words of one section."""
    document = pdf(name)
    tops = [(entry[1], entry[2]) for entry in document.get_toc() if entry[0] == 1]
    tops.append(("", document.page_count + 1))
    start, end = next((p, q) for (t, p), (_, q) in pairwise(tops) if t == title)
    return squeezed("".join(texts(name)[start - 1 : end - 1]))


def western(text: str) -> bool:
    return text.isascii()


@pytest.mark.parametrize("name", NAMES)
def test_every_run_is_on_its_pages(name: str) -> None:
    # conservation
    build, sheet = builds()[name], result(name).sheet
    schedule, work = text_of(name, "Run schedule"), text_of(name, "Work order")
    diagram = text_of(name, "One-line diagram")
    cuts = text_of(name, "Cut list")
    assert {run.id for run in sheet.runs} == {run.id for run in build.runs}
    for run in sheet.runs:
        assert run.id in schedule
        assert run.id in diagram
        if western(run.name):
            assert squeezed(run.name)[:300] in schedule
        if not run.existing:
            assert f"({run.id})" in work
        gauge = f"{run.gauge[4:]}AWG" if run.gauge.startswith("AWG") else squeezed(run.gauge)
        assert gauge in schedule
        assert gauge in diagram
    for piece in (p for group in cut_list(build, sheet).groups for p in group.pieces):
        if western(piece.name) and len(piece.name) < 60:
            assert squeezed(piece.label) in cuts


@pytest.mark.parametrize("name", ["estate_car", "camper_van", "hatchback"])
def test_every_label_device_part_and_reading_is_there(name: str) -> None:
    # conservation
    build, whole = builds()[name], result(name)
    said = speech_of(build)
    labels = text_of(name, "Labels")
    for label in cut_list(build, whole.sheet).labels:
        assert all(squeezed(said(line)) in labels for line in label.lines)
    diagram = text_of(name, "One-line diagram")
    for table in (build.batteries, build.alternators, build.amplifiers, build.blocks):
        assert all(squeezed(device.name) in diagram for device in table)
    grounds = text_of(name, "Ground map")
    assert all(squeezed(point.name) in grounds for point in build.grounds)
    for part in build.parts:
        assert squeezed(part.name) in text_of(name, "Custom parts")
        assert squeezed(part.name) in text_of(name, "Full-size templates")
    readings = text_of(name, "Readings sheet")
    for each in whole.readings.predicted:
        assert f"{each.predicted_v + 0.0:.2f}V".replace("-0.00", "0.00") in readings
    materials = text_of(name, "Bill of materials")
    assert all(squeezed(said(line.item)) in materials for line in whole.sheet.materials)
    found = text_of(name, "Findings and cautions")
    assert all(squeezed(said(each.what)) in found for each in whole.sheet.findings)
    assert all(squeezed(said(each)) in found for each in whole.sheet.cautions)


@pytest.mark.parametrize(
    ("name", "paper"),
    [*((name, "a4") for name in NAMES), *((name, "letter") for name in NAMES[:4])],
)
def test_every_page_has_number_revision_and_date(name: str, paper: str) -> None:
    document = pdf(name, paper)
    total = document.page_count
    title = builds()[name].header.title
    for number, (page, text) in enumerate(zip(document, texts(name, paper), strict=True), 1):
        words = squeezed(text)
        assert f"page{number}of{total}" in words
        assert "evision7" in words
        assert "2026-03-01" in words
        if western(title):
            assert squeezed(title) in words
        size = sorted((page.rect.width * MM, page.rect.height * MM))
        assert size == pytest.approx(sorted(PAPERS[paper]), abs=0.1)


@pytest.mark.parametrize("name", NAMES)
def test_the_outline_names_every_section(name: str) -> None:
    # conservation: what is chosen, in order, each once
    tops = [entry[1] for entry in pdf(name).get_toc() if entry[0] == 1]
    build = builds()[name]
    without = set() if build.parts else {"parts", "templates"}
    without |= {"quote"} if name == "largest" else set()
    without |= set() if build.sections else {"harness"}
    assert tops == [title for key, title in PAGES.items() if key not in without]
    for part in build.parts:
        below = [entry[1] for entry in pdf(name).get_toc() if entry[0] == 2]
        assert any("Template" in entry for entry in below)
        assert any(part.id in entry for entry in below)


@pytest.mark.parametrize(
    ("name", "paper"),
    [*((name, "a4") for name in NAMES), *((name, "letter") for name in NAMES[:4])],
)
def test_nothing_reaches_the_edge_and_no_words_overlap(name: str, paper: str) -> None:
    for number, page in enumerate(pdf(name, paper), 1):
        words, sheet = page.get_text("words"), page.rect
        assert words
        for x0, y0, x1, y1, *_ in words:
            assert x0 * MM >= EDGE_MM
            assert x1 * MM <= sheet.width * MM - EDGE_MM
            assert y0 * MM >= EDGE_MM - 3
            assert y1 * MM <= sheet.height * MM - EDGE_MM + 3
        clash = overlapping(words)
        assert not clash, (number, clash)


def overlapping(words: list[Any]) -> list[tuple[str, str]]:
    """Pairs of words that lie on one another, by the middle of their boxes (fonts reserve more)."""
    boxes = []
    for x0, y0, x1, y1, word, *_ in words:
        up, across = (y1 - y0) * 0.3, min(0.6, (x1 - x0) * 0.2)
        boxes.append((y0 + up, y1 - up, x0 + across, x1 - across, word))
    boxes.sort()
    found = []
    for i, (top, bottom, left, right, word) in enumerate(boxes):
        for other in boxes[i + 1 :]:
            if other[0] >= bottom:
                break
            if other[2] < right and left < other[3] and other[1] > top:
                found.append((word, other[4]))
    return found


def test_the_check_of_overlaps_sees_one() -> None:
    # limit: two words on one another, two side by side
    on = [(0, 0, 20, 10, "a"), (5, 2, 25, 12, "b")]
    beside = [(0, 0, 20, 10, "a"), (21, 0, 40, 10, "b")]
    assert overlapping(on) == [("a", "b")]
    assert not overlapping(beside)


@pytest.mark.parametrize("name", ["camper_van", "odd"])
def test_labels_keep_gauge_and_colour_however_long_the_name(name: str) -> None:
    # conservation: both ends of every piece
    labels = text_of(name, "Labels")
    pieces = [
        p for group in cut_list(builds()[name], result(name).sheet).groups for p in group.pieces
    ]
    for size, colour in {(piece.size, piece.colour) for piece in pieces}:
        wanted = sum((piece.size, piece.colour) == (size, colour) for piece in pieces)
        assert labels.count(squeezed(f", {size}, {colour}")) == 2 * wanted


@pytest.mark.parametrize("name", ["estate_car", "camper_van"])
def test_templates_in_the_pack_are_full_size(name: str) -> None:
    # second method: the developed pattern's own width and height
    build, document = builds()[name], pdf(name)
    flat = develop(build, build.parts[0])
    assert isinstance(flat, Flat)
    page = document[document.page_count - 1]
    outline = max(drawn(page), key=lambda path: path.length if path.weight > 0.3 else 0)
    x0, y0, x1, y1 = outline.box
    assert x1 - x0 == pytest.approx(flat.width_m * 1000, abs=0.05)
    assert y1 - y0 == pytest.approx(flat.height_m * 1000, abs=0.05)


def test_all_that_the_quote_says_is_in_the_pack() -> None:
    # conservation: every word of the quote is read back from its pages
    build = builds()["estate_car"]
    said = quote(build, evaluate(build), money("estate_car").estimate)
    assert said.price
    assert said.missing
    page = text_of("estate_car", "Quote")
    rows = (*said.head, *said.work, *said.price)
    texts = (*said.included, *said.missing, *said.assumed, *said.cautions)
    cells = (cell for m in said.materials for cell in (m.item, m.size, m.quantity, m.price))
    for text in (*(cell for row in rows for cell in row), *texts, *cells):
        assert squeezed(text) in page


def test_words_of_every_script_are_shown() -> None:
    # conservation: letters of each script are on the page, none replaced
    text = "".join(texts("odd"))
    for letters in ("רמקול", "支", "ブ", "브", "ब", "ყ", "ก", "✔"):
        assert all(letter in text for letter in letters)
    assert "<fontsize=90>" in squeezed(text)
    assert "W" * 20 in text
    assert len(ODD[1]) <= text.count("W")


def test_words_on_pages_of_text_are_large_enough_to_read() -> None:
    # the smallest letters of a body text, 9 pt (common practice)
    for page in pdf("estate_car"):
        if page.rect.width > page.rect.height:
            continue
        for block in page.get_text("dict")["blocks"]:
            for line in block.get("lines", ()):
                assert all(span["size"] > 8.99 for span in line["spans"])


def test_it_prints_in_black_and_grey_alone() -> None:
    for page in pdf("camper_van"):
        for path in page.get_drawings():
            for colour in (path.get("color"), path.get("fill")):
                assert colour is None or max(colour) - min(colour) < 1e-3


@pytest.mark.parametrize("seed", range(10))
def test_any_build_can_be_printed(seed: int) -> None:
    # conservation: every run of whatever a person may have left is in the diagram
    build = random_build(Random(seed), 30, extreme=seed % 2 == 1)
    files = files_of(build, paper="letter")
    document = open_pdf(next(iter(files.values())))
    top = next(page for level, title, page in document.get_toc() if title == "One-line diagram")
    after = next(page for level, title, page in document.get_toc() if page > top and level == 1)
    text = "".join(document[i].get_text() for i in range(top - 1, after - 1))
    assert all(run.id in text for run in build.runs)
    assert not any(overlapping(page.get_text("words")) for page in document)


@pytest.mark.parametrize(("hot", "stated"), [(True, "120 A hot"), (False, "120 A on the plate")])
def test_the_diagram_says_how_an_alternator_is_rated(hot: bool, stated: str) -> None:
    build = Build(alternators=(Alternator(id="g1", rated_a=120, hot=hot),))
    files = files_of(build, paper="a4", only=frozenset({"diagram"}))
    document = open_pdf(files.popitem()[1])
    text = "".join(page.get_text() for page in document)
    assert squeezed(f"alternator, {stated}") in squeezed(text)
    assert (" hot" in text) is hot


def test_a_chain_of_forty_blocks_and_runs_that_lead_nowhere_are_drawn() -> None:
    # conservation
    blocks = tuple(Block(id=f"d{i}") for i in range(1, 41))
    runs = [
        Run(id=f"r{i}", source=f"d{i}", target=f"d{i + 1}", fused=True, length_m=1.0)
        for i in range(1, 40)
    ]
    loose = (Run(id="r40"), Run(id="r41", target="d1"), Run(id="r42", source="d2", target="d2"))
    build = Build(blocks=blocks, runs=(*runs, *loose))
    files = files_of(build, paper="a4", only=frozenset({"diagram"}))
    document = open_pdf(files.popitem()[1])
    words = [word for page in document for word in page.get_text("words")]
    assert {run.id for run in build.runs} <= {word[4] for word in words}
    assert not any(overlapping(page.get_text("words")) for page in document)
    assert max(word[2] for word in words) * MM < PAPERS["a4"][0] - EDGE_MM


def test_a_stop_is_on_every_page_and_at_its_fuse() -> None:
    # conservation: the hatchback has seven, three of them at its main run; the estate car has none
    pages = [squeezed(text) for text in texts("hatchback")]
    footed = [page for page in pages if "revision7,2026-03-01" in page]
    assert len(footed) == len(pages) - 2  # a drawing and a template have frames of their own
    assert all("STOP:7tosettlefirst" in page for page in footed)
    stop = squeezed(
        "STOP: Main run: 8 AWG is too thin for its current; "
        "Main run: 3 ft 11.2 in of wire before its fuse; "
        "Main run: a 200 A fuse does not protect 8 AWG."
    )
    assert stop in text_of("hatchback", "Fuse map")
    assert stop in text_of("hatchback", "Run schedule")
    assert not any("STOP" in text for text in texts("estate_car"))


def test_a_note_of_the_bill_holds_for_its_line_or_its_whole_group() -> None:
    words = text_of("estate_car", "Bill of materials")
    lines = result("estate_car").sheet.materials
    for group in {line.group for line in lines}:
        notes = [line.note for line in lines if line.group == group]
        if len(set(notes)) == 1 and notes[0]:
            assert squeezed(f"{group}: {notes[0]}") in words
    for note in {line.note for line in lines if line.group == "Consumables"}:
        assert squeezed(note.removeprefix(ONE_FOR_ALL)) in words


def test_states_that_a_meter_cannot_tell_apart_are_one_table() -> None:
    words = text_of("camper_van", "Readings sheet")
    assert squeezed("Driving, average or at idle, average") in words
    assert words.count(squeezed("At idle, average")) == 0
    assert "CAUTION" in words
    assert "off-tone" not in text_of("hatchback", "Readings sheet")


def test_a_finding_stays_on_one_page() -> None:
    # conservation: as many titles on a page as lines that say by what rule
    for paper in ("a4", "letter"):
        for text in texts("hatchback", paper)[1:3]:
            lines = text.splitlines()
            titles = [line for line in lines if line.startswith(("STOP: ", "FIX: ", "NOTE: "))]
            assert len(titles) == sum(line.startswith("Source: ") for line in lines) > 0


ON_PAPER = [
    (name, paper)
    for name in ("estate_car", "camper_van", "hatchback", "largest")
    for paper in ("a4", "letter")
    if FULL or (name, paper) != ("largest", "letter")  # ten seconds to print
]


@pytest.mark.parametrize(("name", "paper"), ON_PAPER)
def test_no_heading_stands_last_on_its_page(name: str, paper: str) -> None:
    # common practice of setting type: a heading stays with what follows it
    seen = 0
    for page in pdf(name, paper):
        sheet = page.rect
        if sheet.width > sheet.height:
            continue
        spans = [
            span
            for block in page.get_text("dict")["blocks"]
            for line in block.get("lines", ())
            for span in line["spans"]
            if span["bbox"][3] * MM < sheet.height * MM - FOOT_MM
        ]
        last = max(span["bbox"][3] for span in spans)
        for span in spans:
            heading = span["size"] > 9.4 and "Bold" in span["font"]
            seen += heading
            assert not heading or span["bbox"][3] < last, span["text"]
    assert seen > 10


def test_the_headings_of_a_table_are_on_each_of_its_pages() -> None:
    # conservation: the largest build's schedule goes on for pages
    document = pdf("largest")
    tops = [(title, page) for level, title, page in document.get_toc() if level == 1]
    for title, heads in (
        ("Run schedule", ("Run Name Length Wire", "Lead Name From, to Length")),
        ("Bill of materials", ("Got Item",)),
    ):
        start = dict(tops)[title]
        end = min(page for _, page in tops if page > start)
        assert end - start > 2
        for number in range(start - 1, end - 1):
            text = squeezed(texts("largest")[number])
            assert any(squeezed(each) in text for each in heads)


def test_the_dashes_of_a_picture_end_with_it() -> None:
    # conservation: dashes on a page are those of its charts, none is a rule across the page
    document = pdf("camper_van")
    page = next(page for page in document if "Trip" in page.get_text())
    paths = page.get_drawings()
    assert any("[]" not in path["dashes"] for path in paths)
    rules = [path for path in paths if path["rect"].width * MM > 170 and path["rect"].height < 1]
    assert len(rules) > 5
    assert all("[]" in path["dashes"] for path in rules)


def test_the_kick_drum_stands_in_the_supply_section() -> None:
    """The sentence, what was tried and its picture; nothing of it where nobody plays."""
    said = []
    for build in (builds()["estate_car"], Build()):
        files = files_of(build, paper="a4", only=frozenset({"supply"}))
        document = open_pdf(next(content for content in files.values()))
        said.append(squeezed("".join(page.get_text() for page in document)))
    assert "Witheverykickyourlampsdropabout0.3V" in said[0]
    assert "onemorebatteryintheback" in said[0]
    assert "justnoticed" in said[0]
    assert "theinductanceofitswires" in said[0]
    assert "Kickdrum" not in said[1]


def test_music_that_was_judged_stands_in_the_pack_with_its_file_and_figures(
    tmp_path: Path,
) -> None:
    """As it was noted: file and hash (second method: hashlib over the whole of it), crest factor,
    average over rated power, hardest second; on the first page and beside the kick drum."""
    plain = builds()["estate_car"]
    at = np.arange(6 * 8000) / 8000
    path = tmp_path / "song.wav"
    soundfile.write(path, 0.6 * np.sin(2 * np.pi * 60 * at) * np.exp(-(at % 0.5) / 0.1), 8000)
    worked = make_plan(plain)
    subject = Subject(plain, worked.sheet)
    found = judged_music(path, worked)
    build, back = apply(plain, level_edit(found.study, noted(subject, found.study, found.file)))
    assert apply(build, back)[0] == plain
    files = files_of(build, paper="a4", only=frozenset({"summary", "supply"}))
    document = open_pdf(next(content for content in files.values()))
    said = squeezed("".join(page.get_text() for page in document))
    digest = sha256(path.read_bytes()).hexdigest()[:12]
    assert said.count(f"song.wav:0:06,8kHz,16bit,mono,SHA-256{digest}") == 2
    assert f"Crest{found.study.crest_db:.1f}dB" in said
    assert f"averages{100 * found.study.average:.1f}%ofratedpower" in said
    assert "Initshardestsecond,from0:0" in said
    assert f"Thebuildisplannedwith{100 * found.study.average:.1f}%,asentered" in said
