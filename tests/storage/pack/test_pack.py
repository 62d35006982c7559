"""Writing packs: all or nothing, clear refusals, progress.

Expected values: conservation (the files that were there), and the choices of names.
"""

import errno
import os
import resource
from dataclasses import dataclass, field
from pathlib import Path

import pytest

from domain.evaluate import make_plan
from storage.errors import TransferError
from storage.pack.contents import DATA, NAMES, PAGES
from storage.pack.pack import PackCancelled, write_pack
from tests.storage.pack.builds import builds, money, plan, result
from tests.storage.pack.measuring import open_pdf


def written(name: str, folder: Path, **more: object) -> list[Path]:
    given: dict[str, object] = {"paper": "a4", "revision": "7", "date": "2026-03-01", **more}
    return write_pack(plan(name), result(name), folder, **given)  # type: ignore[arg-type]


def state(folder: Path) -> dict[str, bytes]:
    return {path.name: path.read_bytes() for path in folder.iterdir()}


def test_a_pack_is_a_pdf_with_its_data_beside_it(tmp_path: Path) -> None:
    folder = tmp_path / "new" / "folder"
    paths = written("estate_car", folder)
    assert [path.suffix for path in paths] == [".pdf", ".json", *[".csv"] * 5]
    assert sorted(paths) == sorted(folder.iterdir())
    assert all("Estate-car" in path.name and "revision-7" in path.name for path in paths)


def test_the_same_build_gives_the_same_bytes(tmp_path: Path) -> None:
    written("camper_van", tmp_path)
    before = state(tmp_path)
    written("camper_van", tmp_path)
    assert state(tmp_path) == before


@pytest.mark.parametrize("name", [name for name in NAMES if name != DATA])
def test_one_section_alone(tmp_path: Path, name: str) -> None:
    for build in ("estate_car", "hatchback"):
        (path,) = written(build, tmp_path / build, only=frozenset({name}), money=money(build))
        outline = open_pdf(path.read_bytes()).get_toc()
        assert [entry[1] for entry in outline if entry[0] == 1] == [PAGES[name]]


def test_the_data_alone(tmp_path: Path) -> None:
    paths = written("estate_car", tmp_path, only=frozenset({DATA}))
    assert {path.suffix for path in paths} == {".json", ".csv"}


def test_no_quote_without_money(tmp_path: Path) -> None:
    document = open_pdf(written("estate_car", tmp_path)[0].read_bytes())
    assert "Quote" not in [entry[1] for entry in document.get_toc()]


@pytest.mark.parametrize(
    ("more", "says"),
    [
        ({"paper": "a3"}, r"there is no paper a3: choose letter or a4"),
        ({"only": frozenset({"maps", "runs"})}, r"a pack has no maps: choose from summary, "),
        ({"only": frozenset()}, r"nothing was chosen: choose at least one of summary"),
    ],
)
def test_what_there_is_not_is_refused(tmp_path: Path, more: dict[str, object], says: str) -> None:
    with pytest.raises(TransferError, match=says):
        written("hatchback", tmp_path, **more)
    assert not list(tmp_path.iterdir())


@pytest.mark.parametrize("title", ["../../etc/passwd", "a/b\\c", "..", ".", "", "\x00", "CON: *?"])
def test_a_title_with_slashes_or_dots_stays_in_the_folder(tmp_path: Path, title: str) -> None:
    build = builds()["hatchback"]
    build = build.but(header=build.header.but(title=title))
    folder = tmp_path / "packs"
    paths = write_pack(
        make_plan(build),
        result("hatchback"),
        folder,
        paper="a4",
        revision="../7",
        only=frozenset({"runs"}),
    )
    assert [path.parent for path in paths] == [folder]
    assert list(tmp_path.iterdir()) == [folder]
    assert len(list(folder.iterdir())) == 1


@dataclass
class Watch:
    """Counts the steps of the progress; stops at one of them."""

    stop: int = 1000
    seen: list[tuple[float, str]] = field(default_factory=list)

    def __call__(self, share: float, what: str) -> bool:
        self.seen.append((share, what))
        return len(self.seen) <= self.stop


def test_progress_rises_and_ends_at_one(tmp_path: Path) -> None:
    watch = Watch()
    written("estate_car", tmp_path, progress=watch)
    shares = [share for share, _ in watch.seen]
    assert shares == sorted(shares)
    assert shares[0] == 0
    assert shares[-1] == 1
    assert {"Summary", "Run schedule", "Writing"} <= {what for _, what in watch.seen}


def test_cancelled_anywhere_it_leaves_earlier_packs_and_nothing_else(tmp_path: Path) -> None:
    written("estate_car", tmp_path)  # sheets are laid out once
    whole = Watch()
    written("estate_car", tmp_path, progress=whole)
    before = state(tmp_path)
    for stop in range(len(whole.seen) - 1):
        with pytest.raises(PackCancelled):
            written("estate_car", tmp_path, date="2027-01-01", progress=Watch(stop))
        assert state(tmp_path) == before


def test_a_full_disk_leaves_earlier_packs_whole(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    written("hatchback", tmp_path)
    before = state(tmp_path)
    count = 0

    def full(descriptor: int) -> None:
        nonlocal count
        count += 1
        if count == 3:
            raise OSError(errno.ENOSPC, os.strerror(errno.ENOSPC))

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(TransferError, match="cannot be written to: No space left on device"):
        written("hatchback", tmp_path, date="2027-01-01")
    assert state(tmp_path) == before


def test_a_limit_on_the_size_of_files_leaves_earlier_packs_whole(tmp_path: Path) -> None:
    written("hatchback", tmp_path)
    before = state(tmp_path)
    limits = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (20_000, limits[1]))
    try:
        with pytest.raises(TransferError, match="cannot be written to: File too large"):
            written("hatchback", tmp_path, date="2027-01-01")
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, limits)
    assert state(tmp_path) == before


def test_a_folder_that_is_a_file_or_may_not_be_written(tmp_path: Path) -> None:
    file = tmp_path / "file"
    file.write_text("kept")
    with pytest.raises(TransferError, match="is a file: name a folder"):
        written("hatchback", file)
    with pytest.raises(TransferError, match="cannot be written to"):
        written("hatchback", file / "below")
    assert file.read_text() == "kept"
    with pytest.raises(TransferError, match="cannot be written to"):
        written("hatchback", Path("/proc/packs"))
