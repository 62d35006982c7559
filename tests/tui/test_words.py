"""Screens, papers and commands speak as the word list of DEVELOPERS.md does."""

import re
from collections import defaultdict
from enum import StrEnum

import pytest

from domain.build import choices
from domain.build.choices import SHOWN, Engine, FuseFamily, Playing, Programme, shown
from domain.build.fields import parse_field
from domain.build.records import TABLES, Build
from domain.build.schema import schema_of
from domain.document.records import record_type_of
from tests.tui.labels import Label, every_label, screen_labels, verdict, word_list


def test_no_label_help_or_message_says_what_the_word_list_rules_out() -> None:
    """The list follows installers' and standards' words; where each is from stands in it."""
    found = every_label()
    assert len(found) > 3000
    kinds = {label.kind for label in found}
    assert kinds == {"label", "help", "choice", "key", "message"}
    wrong = [(label.place, label.text, verdict(label)) for label in found]
    assert [each for each in wrong if each[2] != "ok"] == []


def test_the_list_itself_would_tell() -> None:
    for text in ("Limb", "·Limb", "Full tone draws", "hangs on the block", "12 A short at idle"):
        assert verdict(Label("anywhere", "label", text)) != "ok"
    assert verdict(Label("anywhere", "label", "Idle")) != "ok"
    assert verdict(Label("anywhere", "message", "at idle the alternator gives 40 A")) == "ok"


def test_every_word_has_one_meaning_and_a_source() -> None:
    said: dict[str, str] = {}
    for word in word_list():
        assert all((word.means, word.source, word.banned or word.bare)), word.says
        for each in re.split(r", (?![^(]*\))", word.says):
            assert said.setdefault(each.casefold(), word.means) == word.means, each
            mine = {*word.banned, *word.bare}
            assert each.casefold() not in mine, f"{each} is said and ruled out"
    for asked in ("idle", "charging v", "regulated supply", "ampacity", "in stock", "engine"):
        assert any(asked in word.casefold() for word in said), asked


def test_one_title_stands_for_one_kind_of_value() -> None:
    """Regulated was a voltage and a yes or no; such a word is two words."""
    kinds: dict[str, set[str]] = defaultdict(set)
    for table in TABLES:
        record_type = record_type_of(table)
        for name in record_type.__struct_fields__:
            field = schema_of(record_type, name)
            kinds[field.title.casefold()].add(field.kind.removeprefix("small_"))
    two = {title: found for title, found in kinds.items() if len(found) > 1}
    # Its own name in its own table, the thing that is named elsewhere.
    assert [title for title, found in two.items() if found != {"text", "reference"}] == []


def test_a_choice_is_shown_in_the_trades_words_and_taken_in_the_old_ones() -> None:
    kinds = [
        each
        for each in vars(choices).values()
        if isinstance(each, type) and issubclass(each, StrEnum) and each is not StrEnum
    ]
    for stored in SHOWN:
        assert sum(stored in list(kind) for kind in kinds) == 1, f"{stored} stands for two things"
    build = Build()
    for table, field, kind in (
        ("legs", "playing", Playing),
        ("legs", "engine", Engine),
        ("header", "programme", Programme),
        ("runs", "fuse_family", FuseFamily),
    ):
        for member in kind:
            for typed in (shown(member), member.value, shown(member).upper()):
                assert parse_field(build, table, field, typed) == member.value


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("mini", FuseFamily.BLADE_F),
        ("standard", FuseFamily.BLADE_C),
        ("sf 51", FuseFamily.STRIP_51),
        ("bolt-down l", FuseFamily.STRIP_51),
        ("strip SF 30", FuseFamily.STRIP_30),
        ("class", FuseFamily.CLASS_T),
    ],
)
def test_a_fuse_is_found_by_the_counters_name_and_by_the_standards(
    typed: str, meant: FuseFamily
) -> None:
    assert parse_field(Build(), "runs", "fuse_family", typed) == meant


def test_figures_say_what_they_are() -> None:
    """What nobody guesses: at what power, at which engine speed, measured from where."""
    helps = {label.text for label in screen_labels() if label.kind == "help"}
    for words in (
        "with every amplifier at rated power with a steady tone",
        "current at engine idle, hot",
        "the head unit is grounded here",
        "volts lost on power and ground side together, at full power",
        "supply voltage below which it shuts down",
    ):
        assert any(words in each for each in helps), words
