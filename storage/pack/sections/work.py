"""The work order: every step of the job in its safe order, with a box to tick."""

from domain.work_order import work_order
from storage.pack.pack_context import Pack
from storage.pack.pages import TICK, Column, Group, Paper, Row


def work(pack: Pack, paper: Paper) -> None:
    """Steps under the headings of the job, numbered through."""
    rows: list[Row | Group] = []
    heading = ""
    for step in work_order(pack.build, pack.sheet):
        if step.stage != heading:
            heading = step.stage
            rows.append(Group(heading))
        rows.append(Row((TICK, str(step.order), step.what)))
    rows.append(Row((), "Done by: ______________________     Date: ______________________"))
    paper.table((Column("Done", 14), Column("Step", 13, 1), Column("What to do", most=40)), rows)
