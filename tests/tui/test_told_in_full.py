"""What is told in full, once, and in whose words.

Expected values: put down by hand; what is seen of a list from two places is compared by hand.
"""

from domain.build import actions
from domain.build.choices import Words
from domain.build.edits import SetField, apply
from domain.build.records import Build
from domain.build.start import start_build
from domain.evaluate import evaluate, make_plan
from tui.pages.compare import ComparePage
from tui.widgets.line_view import Line, Span
from tui.widgets.pane_lines import BLOCK_LINES, pane_lines


def one_amplifier() -> Build:
    build = start_build()
    return actions.applied(build, actions.add(build, "amplifiers", channel_w=300.0))


def texts(lines: list[Line]) -> list[str]:
    return [line.plain.strip() for line in lines]


def test_no_empty_lines_stand_under_the_finding_of_the_pane_in_full() -> None:
    build = one_amplifier()
    sheet = evaluate(build)
    for width in (60, 80, 120):
        beside = texts(pane_lines(build, sheet, width))
        full = texts(pane_lines(build, sheet, width, full=True))
        # Beside a table what is below never moves; in full one empty line parts it.
        assert beside.index("Load") == BLOCK_LINES
        assert full[full.index("Load") - 1] == ""
        assert "" not in full[: full.index("Load") - 1]
        assert [each for each in full if each] == [each for each in beside if each]


def test_builds_are_compared_each_in_its_own_words() -> None:
    # by the pair of words: ground in the US, earth in Britain
    us = one_amplifier()
    words = SetField(table="header", field="words", value=Words.UK.value)
    british, _ = apply(us, words)
    thick = SetField(table="runs", id=us.runs[-1].id, field="gauge", value="AWG 4/0")
    british, _ = apply(british, thick)
    page = ComparePage(make_plan(us), make_plan(british))
    lines = [each.plain if isinstance(each, Line) else each for each in page.body(120, 40)]
    said = "\n".join(lines).casefold()
    assert "earth" in said
    assert "ground" not in said


def test_other_words_that_are_too_wide_are_cut_with_a_sign() -> None:
    line = Line((Span("split loom ", "bold"), Span("and more", "", "x")), "y")
    wide = line.said(lambda text: text.replace("split loom", "split convoluted tubing"))
    assert wide.within(80) == wide
    cut = wide.within(28)
    assert cut.plain == "split convoluted tubing and…"
    assert (cut.target, cut.spans[-1].target) == ("y", "x")
