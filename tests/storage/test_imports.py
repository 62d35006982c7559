"""Who opens, reads and writes waits for no declared tables (seen in a fresh process)."""

import ast
import subprocess
import sys
from pathlib import Path

from domain.build.start import start_build
from storage.store.builds import Store
from tests.storage.store.builds import new_store

AT_WORK = """
import sys
from pathlib import Path
from domain.build.edits import SetField
from storage.store.location import store_place
from storage.store.builds import Store
with Store(store_place(sys.argv[1])) as store:
    kept = store.build(store.builds()[0].key)
    opened = kept.open()
    print(opened.document.header.title, len(kept.history()))
    title = SetField(table="header", field="title", value="Quicker")
    print(kept.change(lambda _: title).document.header.title)
    print(kept.undo().document.header.title, store.create(opened.document))
    slow = {"sqlmodel", "sqlalchemy", "numpy", "pint", "textual", "rich", "jsonschema"}
    print(sorted((slow | {"pydantic"}) & sys.modules.keys()))
    from storage.transfer import export_build
    export_build(opened.document)
    print(sorted(slow & sys.modules.keys()))
"""


def test_reading_and_writing_import_nothing_slow(tmp_path: Path) -> None:
    path, _ = new_store(tmp_path, start_build("Quick"))
    fresh = subprocess.run(
        [sys.executable, "-c", AT_WORK, str(path)],
        cwd=Path(__file__).parents[2],
        capture_output=True,
        text=True,
        timeout=60,
        check=True,
    )
    assert fresh.stdout.splitlines() == ["Quick 1", "Quicker", "Quick 2", "[]", "[]"]


def test_an_empty_store_is_made_without_it(tmp_path: Path) -> None:
    fresh = subprocess.run(
        [
            sys.executable,
            "-c",
            "import sys; from pathlib import Path; from storage.store.builds import Store\n"
            "with Store(Path(sys.argv[1])) as s: print(s.builds(), 'sqlalchemy' in sys.modules)",
            str(tmp_path / "new.sqlite"),
        ],
        cwd=Path(__file__).parents[2],
        capture_output=True,
        text=True,
        timeout=60,
        check=True,
    )
    assert fresh.stdout == "[] False\n"
    with Store(tmp_path / "new.sqlite") as store:
        assert store.builds() == []


def test_nothing_is_imported_late_from_inside_a_library_that_another_thread_may_be_loading() -> (
    None
):
    # Python's import system: a module that is imported waits for another thread that is loading
    # it; a module inside it does not wait for the whole, and sees half of it. One thread loads the
    # library while the first screen is read, another may save by then.
    late = [
        f"{file}:{inner.lineno}"
        for file in Path(__file__).parents[2].joinpath("storage").rglob("*.py")
        for outer in ast.walk(ast.parse(file.read_text(encoding="utf-8")))
        if isinstance(outer, ast.FunctionDef)
        for inner in ast.walk(outer)
        if isinstance(inner, ast.ImportFrom) and (inner.module or "").startswith("sqlalchemy.")
    ]
    assert late == []
