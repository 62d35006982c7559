"""Every label on every screen and on paper, and what the word list of DEVELOPERS.md says of it.

``python -m tests.tui.labels`` prints them as a table: where, of what kind, verdict, words.
"""

import ast
import importlib
import pkgutil
import re
from collections.abc import Iterator
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any, Literal, NamedTuple

import typer

import domain.topics
from demo_db.load import demo_builds
from domain.build.choices import shown
from domain.build.records import TABLES
from domain.build.schema import schema_of
from domain.document.records import record_type_of
from domain.shop.shop import Shop
from domain.topics.tables import Table
from storage.pack.contents import CONTENTS
from tui.commands.main import app
from tui.screens.build_actions import BUILD, BUILD_VIEWS
from tui.screens.builds_actions import BUILDS
from tui.screens.shop_actions import SHOP, SHOP_VIEWS
from tui.tables.build_tables import SPECS
from tui.tables.limb_figures import FIGURES
from tui.tables.thing import GROUPS

ROOT = Path(__file__).parents[2]
ROOMS = ("domain", "storage", "tui")

NOT_SHOWN = {
    "domain/build/choices.py": "stored values; what is shown for them is looked at by itself",
    "strip SF 51": "stored value",
    "Limb": "name of a class",
    "Loom": "a group of the materials: tube is called so",
    "Split loom": "tube",
    "split loom": "tube",
    "on shelf": "column of a file",
    "footprint: a name is missing": "column of a file",
    "footprints --import FILE --force": "command",
}
"""Texts, and a file of them, that are no labels, or the word in another trade's sense."""

Kind = Literal["label", "help", "choice", "key", "message"]


class Label(NamedTuple):
    """Words somebody reads: where they stand, what they are, the words."""

    place: str
    kind: Kind
    text: str


@dataclass(frozen=True, slots=True)
class Word:
    """A row of the word list; ``bare`` are words that no label may be alone."""

    says: str
    means: str
    source: str
    banned: tuple[str, ...]
    bare: tuple[str, ...]


@cache
def word_list() -> tuple[Word, ...]:
    """The rows of the table under "Words" in DEVELOPERS.md."""
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    section = text.split("\n## Words\n", 1)[1].split("\n## ", 1)[0]
    rows = [line for line in section.splitlines() if line.startswith("| ")][2:]
    found = []
    for row in rows:
        says, means, source, banned = (cell.strip() for cell in row.strip("|").split("|"))
        each = [word.strip() for word in banned.split(";")]
        found.append(
            Word(
                says,
                means,
                source,
                tuple(word for word in each if not word.startswith('"')),
                tuple(word.strip('"') for word in each if word.startswith('"')),
            )
        )
    return tuple(found)


def verdict(label: Label) -> str:
    """Which words of the list stand against it; "ok" where none does."""
    text = label.text.casefold().lstrip("·").strip()
    wrong = [
        f"{word}: say {row.says}"
        for row in word_list()
        for word in row.banned
        if re.search(rf"(?<![\w-]){re.escape(word.casefold())}(?![\w-])", text)
    ]
    if label.kind == "label":
        wrong += [
            f"{bare}: say {row.says}" for row in word_list() for bare in row.bare if text == bare
        ]
    return "; ".join(wrong) or "ok"


def screen_labels() -> Iterator[Label]:
    """Pages, tables, columns with their help, forms, choices and keys."""
    build = demo_builds()[0][1]
    for view in BUILD_VIEWS:
        yield Label(f"build: {view.title}", "label", view.title)
    for spec in SPECS:
        place = f"build: {spec.view}: {spec.name}"
        yield Label(place, "label", spec.caption)
        for column in spec.columns:
            yield Label(place, "label", column.title)
            if column.field != "value":  # of a form: the fields have help of their own
                yield Label(place, "help", column.described(build))
    for table in (*TABLES, "header"):
        record_type = record_type_of(table)
        for name in record_type.__struct_fields__:
            field = schema_of(record_type, name)
            yield Label(f"form: {table}", "label", field.title)
            yield Label(f"form: {table}", "help", field.description)
            for option in field.options:
                if option not in NOT_SHOWN:
                    yield Label(f"form: {table}.{name}", "choice", shown(option))
    for table, groups in GROUPS.items():
        for group, _ in groups:
            yield Label(f"form: {table}", "label", group)
    for figure in FIGURES:
        yield Label("build: wiring", "label", figure.title)
        yield Label("build: wiring", "help", figure.says)
    for kind in SHOP_VIEWS:
        yield Label(f"shop: {kind.title}", "label", kind.title)
    for table, record_type in Shop.TABLES.items():
        for name in record_type.__struct_fields__:
            field = schema_of(record_type, name)
            yield Label(f"shop: {table}", "label", field.title)
            yield Label(f"shop: {table}", "help", field.description)
    for where, actions in (("build", BUILD), ("builds", BUILDS), ("shop", SHOP)):
        yield from _keys(where, actions)


def _keys(where: str, actions: Any) -> Iterator[Label]:
    for action in actions:
        for text in (action.title, action.short):
            if text:
                yield Label(f"{where}: keys", "label", text)
        yield Label(f"{where}: keys", "key", action.help)


def paper_labels() -> Iterator[Label]:
    """Titles of the pack, and of the tables and facts that text and paper lay out."""
    for title in CONTENTS.values():
        yield Label("pack", "label", title)
    for info in pkgutil.walk_packages(domain.topics.__path__, "domain.topics."):
        module = importlib.import_module(info.name)
        for name, table in vars(module).items():
            if isinstance(table, Table):
                for column in table.columns:
                    yield Label(f"paper: {info.name}.{name}", "label", column.title)
                yield Label(f"paper: {info.name}.{name}", "help", table.legend)
    for path in sorted((ROOT / "storage/pack/sections").glob("*.py")):
        yield from _called(path, ("Column", "heading"))
    for path in sorted((ROOT / "domain/topics").rglob("*.py")):
        yield from _called(path, ("Fact",))


def _called(path: Path, names: tuple[str, ...]) -> Iterator[Label]:
    """What is given as the title to these calls."""
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if not isinstance(node, ast.Call) or not node.args:
            continue
        called = getattr(node.func, "id", getattr(node.func, "attr", ""))
        first = node.args[0]
        if called in names and isinstance(first, ast.Constant) and isinstance(first.value, str):
            yield Label(f"paper: {path.stem}", "label", first.value)


def command_labels() -> Iterator[Label]:
    """Commands with their help and that of their options."""
    for name, command in typer.main.get_group(app).commands.items():
        yield Label(f"mainrun {name}", "help", command.help or "")
        for option in command.params:
            yield Label(f"mainrun {name}", "help", getattr(option, "help", "") or "")


def messages() -> Iterator[Label]:
    """Every sentence and phrase in the product's code: findings, refusals, steps, captions.

    A word alone in small letters may be a key or an id: it is looked at where it is a label.
    """
    for room in ROOMS:
        for path in sorted((ROOT / room).rglob("*.py")):
            place = str(path.relative_to(ROOT))
            if "migrations" not in path.parts and place not in NOT_SHOWN:
                for text in _texts(path):
                    if text not in NOT_SHOWN and (" " in text.strip() or text[:1].isupper()):
                        yield Label(place, "message", text)


def _texts(path: Path) -> Iterator[str]:
    """The texts of a file, docstrings and names apart; what a text is filled with is "{}"."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    apart: set[int] = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant):
            apart.add(id(node.value))
        if isinstance(node, ast.Assign) and ast.unparse(node.targets[0]) == "__all__":
            apart.update(map(id, ast.walk(node.value)))
        if isinstance(node, ast.JoinedStr):
            apart.update(id(part) for part in node.values if isinstance(part, ast.Constant))
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in apart:
            yield node.value
        elif isinstance(node, ast.JoinedStr):
            yield "".join(
                str(part.value) if isinstance(part, ast.Constant) else "{}" for part in node.values
            )


def every_label() -> list[Label]:
    """All of them, each once, in the order of the screens."""
    found = (*screen_labels(), *paper_labels(), *command_labels(), *messages())
    return list(dict.fromkeys(label for label in found if label.text.strip(" ·")))


def main() -> None:
    """Print the table."""
    for label in every_label():
        print(f"{label.place:<34} {label.kind:<8} {verdict(label):<24} {label.text!r}")


if __name__ == "__main__":
    main()
