"""The files of one part for the bench and for machines, written into a folder."""

from pathlib import Path

from domain.build.records import Build
from storage.errors import TransferError
from storage.pack.file_set import file_stem, write_all
from storage.pack.pattern import patterns
from storage.pack.tiles import PAPERS


def write_template(
    build: Build,
    part_id: str,
    paper: str,
    folder: Path,
    *,
    revision: str = "",
    date: str = "",
    replace: bool = True,
) -> list[Path]:
    """Write the template, drawing, SVG and DXF of a part; the paths written, in that order.

    Of a part for left and right, those of one hand, then those of the other.

    ``paper`` is "letter" or "a4"; ``revision`` and ``date`` are printed as given. All
    files are written or none. Raises ``TransferError`` for an unknown part or paper, a part
    that has no flat pattern or is too large to print, and a folder that takes no files
    or, unless it may ``replace`` them, holds such files.
    """
    files = template_files(build, part_id, paper, revision=revision, date=date)
    return write_all(folder, files, replace=replace)


def template_files(
    build: Build, part_id: str, paper: str, *, revision: str = "", date: str = ""
) -> dict[str, bytes]:
    """The files of a part by name, not yet written; raises what ``write_template`` raises."""
    from storage.pack.drawing import drawing_pdf
    from storage.pack.dxf import dxf
    from storage.pack.svg import svg
    from storage.pack.template_pdf import template_pdf

    size = paper.casefold()
    if size not in PAPERS:
        raise TransferError(f"there is no paper {paper}: choose {' or '.join(PAPERS)}")
    files: dict[str, bytes] = {}
    for drawn in patterns(build, part_id, revision, date):
        stem = file_stem(part_id, drawn.part.name)
        files |= {
            f"{stem}-template-{size}.pdf": template_pdf(drawn, size),
            f"{stem}-drawing-{size}.pdf": drawing_pdf(drawn, size),
            f"{stem}.svg": svg(drawn),
            f"{stem}.dxf": dxf(drawn),
        }
    return files
