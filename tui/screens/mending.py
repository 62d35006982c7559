"""The finding on top of the pane, and the edit that mends it: looked for while the keys rest."""

import re
from functools import partial

from textual.timer import Timer

from domain.build.edits import Edit, describe
from domain.build.records import Build
from domain.findings import Finding
from domain.sheet import Sheet
from tui.grids.grid_screen import GridScreen
from tui.widgets.pane_lines import sorted_findings
from tui.workbench import Workbench

TRY_AFTER_S = 0.3
"""A mending edit is looked for once nothing was pressed for this long [s]."""
MOST_HOLES_TRIED = 300
"""In a build with more holes, it is only looked for when it is asked for."""
MOST_RUNS_TRIED = 24
"""The same for runs: trying an edit works the whole build out again."""


def _known_by(finding: Finding) -> tuple[str, ...]:
    """What stays of a finding while its figures change."""
    words = re.sub(r"[\d.]+", "", finding.what)
    return finding.level.value, finding.code, finding.table, finding.id, finding.field, words


class Mending:
    """Which finding stands on top of the pane, and what mends it."""

    def __init__(self, screen: GridScreen, bench: Workbench) -> None:
        self._screen = screen
        self._bench = bench
        self.place = 0
        """Place of the finding that stands on top of the pane."""
        self._seen: Sheet | None = None
        """The sheet that the place is of."""
        self._visited: set[tuple[str, ...]] = set()
        """The findings that were gone to in this round."""
        self._answer: tuple[Build, Finding, Edit | None] | None = None
        """The last answer: the pane asks at every key."""
        self._soon: Timer | None = None

    @property
    def finding(self) -> Finding | None:
        """The finding on top of the pane."""
        findings = sorted_findings(self._bench.sheet)
        return findings[min(self.place, len(findings) - 1)] if findings else None

    def follow(self) -> None:
        """After an edit: the finding stays on top as long as it is there.

        Unless a worse one has come up: that is on top then; and the worst once it is gone.
        """
        sheet, before = self._bench.sheet, self._seen
        if sheet is before:
            return
        self._seen = sheet
        had = sorted_findings(before) if before is not None else []
        if not had:
            return
        known = {_known_by(finding) for finding in had}
        top = _known_by(had[min(self.place, len(had) - 1)])
        findings = sorted_findings(sheet)
        places = range(len(findings))
        stays = next((p for p in places if _known_by(findings[p]) == top), 0)
        come = next((p for p in places if _known_by(findings[p]) not in known), stays)
        worse = findings and findings[come].level.rank < findings[stays].level.rank
        self.place = come if worse else stays

    def go(self, place: int) -> Finding | None:
        """Put a finding on top; ``None``: there is none at this place."""
        findings = sorted_findings(self._bench.sheet)
        if not 0 <= place < len(findings):
            return None
        self.place = place
        self._visited.add(_known_by(findings[place]))
        return findings[place]

    def next_place(self) -> int | None:
        """Place of the worst finding not gone to yet; of the worst once all were.

        ``None``: there is none. What an edit brings about is gone to next where it is worse.
        """
        findings = sorted_findings(self._bench.sheet)
        for place, finding in enumerate(findings):
            if _known_by(finding) not in self._visited:
                return place
        self._visited.clear()
        return 0 if findings else None

    @property
    def tried(self) -> bool:
        """Whether it is known which edit, if any, mends the finding on top."""
        last = self._answer
        return last is not None and last[0] is self._bench.build and last[1] == self.finding

    def title(self) -> str:
        """What the edit is called that mends the finding on top, as far as it is known yet.

        Empty: there is none, or it is being looked for; then the figures are shown again.
        """
        build, finding = self._bench.build, self.finding
        if finding is None:
            return ""
        if self.tried:
            edit = self._answer[2] if self._answer else None
            return describe(edit) if edit is not None else ""
        if self._soon is not None:
            self._soon.stop()
        if len(build.holes) <= MOST_HOLES_TRIED and len(build.runs) <= MOST_RUNS_TRIED:
            self._soon = self._screen.set_timer(TRY_AFTER_S, partial(self._look, build, finding))
        return ""

    def _look(self, build: Build, finding: Finding) -> None:
        """Look for the edit beside the screen: every edit tried works the build out again."""
        screen = self._screen

        def look() -> None:
            from domain.mending import mend

            screen.call_later(self._found, build, finding, mend(build, finding))

        screen.run_worker(look, thread=True, exclusive=True, group="mending", exit_on_error=False)

    def _found(self, build: Build, finding: Finding, edit: Edit | None) -> None:
        if self._bench.build is build and self.finding == finding:
            self._answer = (build, finding, edit)
            if edit is not None and not self._screen.editing.open:
                self._screen.show_figures()

    def mend(self) -> None:
        """Make the edit that mends the finding on top."""
        finding, build, screen = self.finding, self._bench.build, self._screen
        if finding is None:
            screen.say("There is no finding to fix")
            return
        if not self.tried:
            from domain.mending import mend

            self._answer = (build, finding, mend(build, finding))
        edit = self._answer[2] if self._answer else None
        if edit is None:
            screen.tell(f"No edit is known that fixes this by itself. Do: {finding.do}")
            return
        if screen.commit(edit):
            screen.tell(f"Fixed: {describe(edit)}. ctrl+z takes it back, ctrl+g: next finding")
