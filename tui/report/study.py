"""Sections of a plain-text sheet on the study of a build: designs, fuses against wire, spots."""

from domain.topics.designs import DESIGNS
from domain.topics.fuse_study import STUDIES
from domain.topics.spots import SPOTS
from domain.topics.tables import Subject
from tui.report.plain import wrap
from tui.report.text_layout import lay


def designs(subject: Subject) -> list[str]:
    """The plan and the sets of gauges beside it; of those only the sizes that differ."""
    most = {"title": 18, "conductor": 9, "drop": 10, "fits": 4, "other": 40}
    lines = lay(subject, DESIGNS, most)
    if not all(design.fits for design in subject.sheet.designs):
        lines += wrap(DESIGNS.legend)
    return lines


def protection(subject: Subject) -> list[str]:
    """Every fuse against the wire that it guards, and which opening curve that rests on."""
    studies = subject.sheet.studies
    if not studies:
        return []
    most = {"id": 5, "name": 14, "fuse": 7, "near": 8, "far": 8, "opens": 7, "stands": 7}
    lines = lay(subject, STUDIES, {**most, "margin": 12, "answer": 18})
    lines += wrap(STUDIES.legend)
    curves: dict[str, list[str]] = {}
    for study in studies:
        curves.setdefault(study.curve, []).append(study.id)
        if study.guarded != (study.id,):
            guarded = ", ".join(map(subject.name, study.guarded))
            lines += wrap(
                f"{study.id} protects {guarded}; weakest is {subject.name(study.weakest)}"
            )
    for curve, ids in curves.items():
        lines += wrap(f"Curve used for {', '.join(ids)}: {curve or 'none'}")
    return lines


def spots(subject: Subject) -> list[str]:
    """Candidate places for fuses, the best of each run first."""
    most = {"run": 20, "rank": 4, "name": 22, "bare": 9, "wire": 9, "heat": 9, "why": 15}
    return lay(subject, SPOTS, most)
