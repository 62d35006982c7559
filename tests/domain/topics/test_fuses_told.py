"""Fuses in words: a place that nobody entered is marked as assumed."""

from domain.evaluate import evaluate
from domain.topics.fuses import FUSES, where
from domain.topics.tables import Subject
from tests.domain.electrical.small import changed, small_build


def test_a_place_that_was_not_entered_is_marked() -> None:
    # by the rule for assumed lengths: "?" until it is entered; in a fused block it is known
    build = small_build()
    at = FUSES.by_key["at"]
    subject = Subject(build, evaluate(build))
    main, branch = (subject.sheet.run(id) for id in ("r4", "r5"))
    assert main is not None
    assert branch is not None
    assert at.cell(subject, main) == "12 in?"
    assert "12 in? along the wire" in where(subject, main)
    assert not at.cell(subject, branch).endswith("?")
    placed = changed(build, ("runs", "r4", "fuse_distance_m", 0.3048))
    subject = Subject(placed, evaluate(placed))
    main = subject.sheet.run("r4")
    assert main is not None
    assert at.cell(subject, main) == "12 in"


def test_a_place_is_told_in_a_sentence() -> None:
    # plain English: one capital at its beginning, one full stop at its end
    build = small_build()
    main = evaluate(build).run("r4")
    assert main is not None
    said = where(Subject(build, evaluate(build)), main)
    assert said[0].isupper()
    assert said[1:2].islower()
    assert said.endswith(".")
