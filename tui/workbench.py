"""The bench of a build: the build worked out, with its sheet and its solved network."""

from contextlib import suppress
from typing import TYPE_CHECKING

from domain.build.edits import Edit
from domain.build.records import Build
from domain.findings import Level, brought
from domain.sheet import Sheet
from tui.bench import Bench

if TYPE_CHECKING:
    from domain.plan import Plan
    from storage.store.builds import Store


class Workbench(Bench[Build]):
    """The open build, worked out: with its sheet and its solved network."""

    plan: "Plan"
    before: Sheet

    def __init__(
        self, store: "Store | None", key: int, build: Build, revision: int, *, later: bool = False
    ) -> None:
        """With ``later`` nothing is worked out before ``plan`` is asked for: until then the sheet
        says nothing, so that the records can be shown at once."""
        self.store = store
        self.key = key
        self.patient = False
        """Whether shorts that several sources share are looked at when the keys rest, not at each
        edit: for a screen that sees to it."""
        kept = store.build(key) if store else None
        self._awaited = Sheet.awaited(build.header.title)
        super().__init__(kept, build, revision, "this build", later=later)

    @property
    def build(self) -> Build:
        """The build, as it is now."""
        return self.document

    @property
    def sheet(self) -> Sheet:
        """The sheet of its plan."""
        return self._awaited if self.awaits else self.plan.sheet

    def lost(self, before: Build) -> str:
        """Which lengths were measured for an old way, and which rating was an old device's."""
        from domain.build.house_side import rating_lost
        from domain.build.lengths import lost

        return lost(before, self.build) or rating_lost(before, self.build)

    def do(self, edit: Edit) -> None:
        """The same; what the edit forbids at its own field is told at once, with what would do."""
        super().do(edit)
        from domain.build.changes import touched

        stop = brought(self.before.findings, self.sheet.findings, touched(edit))
        if stop and not self.notice:
            self.notice = f"{stop.level.name} {stop.with_do}"

    def follow(self, document: Build) -> "Plan":
        """Its plan."""
        return planned(document, swept=True)

    def glance(self, document: Build) -> "Plan":
        """Its plan without the shorts that several sources share, with the sizes they asked."""
        return planned(document, like=self.plan)

    def whole(self, plan: "Plan") -> "Plan":
        """The plan with those shorts, where there are any to look at."""
        return planned(plan.build, swept=True) if plan.solved.unswept else plan

    def kept_with(self, plan: "Plan") -> "Plan":
        """The plan with those shorts, unless they are looked at in a moment."""
        return plan if self.patient else self.whole(plan)

    @property
    def settled(self) -> bool:
        """Whether nothing is left to be looked at in the plan."""
        return self.awaits or not self.plan.solved.unswept

    @property
    def saved(self) -> str:
        """How the build is saved, and whether its plan is still being looked at."""
        saved = super().saved
        return saved if self.settled else f"{saved}, checking"

    def settle(self) -> None:
        """Look at what is left to be looked at, now."""
        if not self.settled:
            self.take(self.follow(self.build))

    def take(self, plan: "Plan") -> bool:
        """Take the whole plan of the build; false where that has changed meanwhile."""
        if plan.build is not self.build:
            return False
        self.plan = plan
        self.note_stops()
        return True

    def figures(self, plan: "Plan") -> Sheet:
        """The sheet of a plan."""
        return plan.sheet

    def stops(self, plan: "Plan") -> int | None:
        """The findings that forbid a plan; ``None`` where not all was looked at yet."""
        return None if plan.solved.unswept else plan.sheet.count(Level.STOP)

    def undo(self) -> bool:
        """Take the last change back; false when there is none."""
        return self._noted(super().undo())

    def redo(self) -> bool:
        """Make the change again that was taken back; false when there is none."""
        return self._noted(super().redo())

    def _noted(self, done: bool) -> bool:
        if done:
            self.note_stops()
        return done

    def note_stops(self) -> None:
        """Note in the store how many findings forbid the build, where that is known by now."""
        from storage.errors import StoreError

        stops = None if self.awaits else self.stops(self.plan)
        if self.store is not None and stops is not None:
            with suppress(StoreError):  # unknown, then: the edit itself is saved
                self.store.note_stops(self.key, self.revision, stops)


def planned(build: Build, *, swept: bool = False, like: "Plan | None" = None) -> "Plan":
    """A build worked out; the engine is loaded at the first call."""
    from domain.evaluate import make_plan

    return make_plan(build, swept=swept, like=like)


def stops_of(build: Build) -> int:
    """How many findings forbid a build, for the list of builds where it comes into the store."""
    return planned(build, swept=True).sheet.count(Level.STOP)
