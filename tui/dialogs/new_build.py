"""What a new build asks, each skipped at once: enter on a line left as it is starts the build."""

from collections.abc import Awaitable, Callable

from msgspec.structs import replace
from rich.cells import cell_len
from textual.app import ComposeResult
from textual.containers import Vertical
from textual.events import Key, Paste

from domain.build.answers import Answers
from domain.build.choices import Drive, UnitHabit, shown
from domain.build.start import ZONES
from tui.dialogs.boxes import Help, Section, spelt
from tui.dialogs.first_plan import first_plan_rows
from tui.widgets.cell_text import cut, left, typed
from tui.widgets.closing import Dialog
from tui.widgets.editor import Editor
from tui.widgets.line_view import Line, LineView, Span, plain_line

WIDTH = 62
NAMES_WIDTH = 18

TEXT_WIDTH = WIDTH - NAMES_WIDTH - 2
"""Cells for what is typed."""

HEADING = f"{' New build: what is known of it?':{WIDTH - 9}}F1 help"

Begin = Callable[[Answers], Awaitable[None]]
"""What starts the build with the answers."""

QUESTIONS: tuple[tuple[str, str], ...] = (
    ("title", "Title"),
    ("customer", "Customer"),
    ("vehicle", "Vehicle"),
    ("units", "Units"),
    ("drive", "Drive"),
    ("smart_alternator", "Smart alternator"),
    ("battery_place", "Battery in"),
)
"""Field of the answers, and what is asked."""

CHOICES: dict[str, tuple[tuple[object, str], ...]] = {
    "units": tuple((each, shown(each)) for each in UnitHabit),
    "drive": tuple((each, shown(each)) for each in Drive),
    "smart_alternator": ((False, "no"), (True, "yes")),
    "battery_place": tuple((name, name) for name, _ in ZONES),
}
"""What a question can be answered with: value and words; any text where nothing stands here."""

HELP: dict[str, str] = {
    "title": "what the shop calls this job",
    "customer": "who it is for",
    "vehicle": "what it goes into",
    "units": "how lengths are typed and shown",
    "drive": "hybrid and electric vehicles charge 12 V by a converter",
    "smart_alternator": "it lowers its voltage on the road, on many cars from 2008 on",
    "battery_place": "where the starter battery sits",
}

KEYS: tuple[tuple[str, str], ...] = (
    ("any text", "where a text is asked: type it, or paste it; it takes the title's place"),
    ("space, right", "where there is a choice: the next; left: the one before"),
    (
        "letters",
        "where there is a choice: the first that begins with them, or has a word that does",
    ),
    ("up, down, tab", "to another question"),
    ("enter", "starts the build; after a change on to the next question"),
    ("escape", "leaves without a build"),
)
"""The keys, on the help page."""


class NewBuild(Dialog[None]):
    """Asks what is known; escape leaves it, and no build is made."""

    CSS_PATH = "boxes.tcss"

    def __init__(self, answers: Answers, begin: Begin, refused: str = "") -> None:
        """``refused``: why these answers began no build."""
        super().__init__()
        self.answers = answers
        self._begin = begin
        self._refused = refused
        self._at = 0
        self._changed = False
        """Whether the line was changed since it was come to."""
        self._spelt = ""
        """The letters that led to the choice."""

    def compose(self) -> ComposeResult:
        """Heading, one line a question, what the line is about, the keys."""
        with Vertical(id="box"):
            yield LineView([plain_line(HEADING, "bold")], id="heading")
            yield LineView(id="questions")
            yield LineView(id="about")
            yield Editor(id="wanted")

    def on_mount(self) -> None:
        """Begin with the title."""
        self.query_one("#questions", LineView).styles.height = len(QUESTIONS)
        self.query_one("#about", LineView).styles.height = 2
        self.query_one(Editor).display = False
        self._go(0)

    @property
    def field(self) -> str:
        """The field that is asked for on the line with the mark."""
        return QUESTIONS[self._at][0]

    def _go(self, at: int) -> None:
        self._at = at % len(QUESTIONS)
        self._changed = False
        self._spelt = ""
        editor = self.query_one(Editor)
        editor.value = "" if self.field in CHOICES else str(getattr(self.answers, self.field))
        editor.cursor_position = len(editor.value)
        self._show()

    def _show(self) -> None:
        lines = []
        for at, (field, name) in enumerate(QUESTIONS):
            here = at == self._at
            begin = f"{'>' if here else ' '}{left(name, NAMES_WIDTH)} "
            told = Span(cut(f"{begin}{self._said(field)}", WIDTH), "bold" if here else "")
            spans: tuple[Span, ...] = (told,)
            if here and field not in CHOICES:
                spans = (Span(begin, "bold"), *_typed_into(self.query_one(Editor), TEXT_WIDTH))
            lines.append(Line(spans, f"question:{at}"))
        self.query_one("#questions", LineView).show(lines)
        how = "space: next" if self.field in CHOICES else "type it"
        go = "enter: next line" if self._changed else "enter: start, esc: no build"
        first, self._refused = self._refused or HELP[self.field], ""
        said = (f" {first}", f" {how}; up, down: lines; {go}")
        about = [plain_line(cut(line, WIDTH), "dim") for line in said]
        self.query_one("#about", LineView).show(about)

    def _said(self, field: str) -> str:
        value = getattr(self.answers, field)
        return next((words for each, words in CHOICES.get(field, ()) if each == value), str(value))

    async def on_key(self, event: Key) -> None:
        """Typing answers, arrows and tab go from line to line, enter goes on or starts."""
        key = event.key
        if key == "ctrl+q":
            return
        event.stop()
        event.prevent_default()
        if key in ("up", "shift+tab"):
            self._go(self._at - 1)
        elif key in ("down", "tab"):
            self._go(self._at + 1)
        elif key == "escape":
            self.dismiss(None)
        elif key == "f1" or (key == "question_mark" and self.field in CHOICES):
            self.app.push_screen(Help([ABOUT], help_sections()))
        elif key == "enter" and not self._changed:
            await self._start()
        elif key == "enter":
            if self._at + 1 == len(QUESTIONS):
                await self._start()
            else:
                self._go(self._at + 1)
        elif self.field in CHOICES:
            self._choose(key, event.character)
        else:
            self._type(key, event.character)

    async def _start(self) -> None:
        answers = self.answers
        self.dismiss(None)
        await self._begin(answers)  # what is typed meanwhile waits for what opens

    def _choose(self, key: str, character: str | None) -> None:
        choices = CHOICES[self.field]
        now = next(n for n, (v, _) in enumerate(choices) if v == getattr(self.answers, self.field))
        step = {"space": 1, "right": 1, "left": -1}.get(key, 0)
        names = [words for _, words in choices]
        letter = str(character) if typed(key, character) else ""
        if letter and (found := spelt(names, self._spelt, letter)):
            place, self._spelt = found
        else:
            place, self._spelt = (now + step) % len(choices), ""
            if letter and not step:
                self._refused = f"none begins with {letter.casefold()!r}: {', '.join(names)}"
        self._take(choices[place][0])

    def _type(self, key: str, character: str | None) -> None:
        editor = self.query_one(Editor)
        at_first = not self._changed and self.field == "title"
        if at_first and key == "space":
            return  # a name does not begin with a space: this one was meant for a choice
        if at_first and typed(key, character):
            editor.value = ""  # what is typed takes the place of what stands there
        if editor.press(key, character):
            self._take(editor.value)

    def _take(self, value: object) -> None:
        if value != getattr(self.answers, self.field):
            self.answers = replace(self.answers, **{self.field: value})
            self._changed = True
        self._show()

    def on_paste(self, event: Paste) -> None:
        """Pasted text is typed."""
        event.stop()
        if self.field not in CHOICES:
            editor = self.query_one(Editor)
            editor.insert_text_at_cursor(" ".join(event.text.split()))
            self._take(editor.value)

    def on_line_view_chosen(self, event: LineView.Chosen) -> None:
        """A click goes to a line; on that again, to its next choice."""
        kind, _, at = event.target.partition(":")
        if kind != "question":
            return
        if int(at) == self._at and self.field in CHOICES:
            self._choose("space", None)
        else:
            self._go(int(at))


ABOUT = (
    "Nothing here must be answered: each line stands as it is until it is changed, and all can be "
    "changed later. What is chosen sets what a new build begins with."
)
"""What the help page begins with."""


def help_sections() -> list[Section]:
    """The help page: each question with its choices, the keys, and what comes then."""
    questions = []
    for field, name in QUESTIONS:
        words = ", ".join(words for _, words in CHOICES.get(field, ()))
        questions.append((name, HELP[field] + (f": {words}" if words else "")))
    plan = ("A whole first plan, key by key", first_plan_rows())
    return [("The questions", questions), ("Keys", KEYS), plan]


def _typed_into(editor: Editor, width: int) -> tuple[Span, ...]:
    """What fits of a text that is typed, the place where the next letter comes among it."""
    text, at = editor.value, editor.cursor_position
    start = at
    while start > 0 and cell_len(text[start - 1 : at + 1]) < width:
        start -= 1
    if at == len(text):
        return (Span(f"{text[start:]}_", "bold"),)
    after = cut(text[at + 1 :], width - cell_len(text[start : at + 1]))
    return Span(text[start:at], "bold"), Span(text[at], "bold reverse"), Span(after, "bold")
