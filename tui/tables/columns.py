"""What a table cell shows and what may be done to it: one class per kind of column.

A column turns a record of a document and the sheet into text, and what was typed into an edit. It
knows neither widgets nor the store, so that every rule of editing can be tested without a terminal.

``~`` before a figure: it was chosen by the engine (auto). A title that begins with ``·``:
the column is computed and cannot be typed into.
"""

from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING, Any, Protocol

from msgspec import Struct, field

from domain.build.edits import Batch, Edit, EditRefused, Scalar, SetField
from domain.build.records import Build
from domain.document.records import record_type_of
from domain.sheet import Sheet
from tui.tables.cell_figures import OfTopic, auto_value

if TYPE_CHECKING:
    from domain.build.lengths import TakenAs
    from domain.build.schema import FieldSchema

AUTO = "~"
"""Mark of a figure that the engine chose."""

_OF_WIRE = ("runs", "leads", "remotes")
"""Tables of which every length is one of wire."""

_AUTO_WORDS = ("", "auto", AUTO)
_NO_WORDS = ("no", "none", "-")


class Host(Protocol):
    """What makes the edits of cells and shows what follows: a screen of tables."""

    def commit(self, edit: Edit) -> bool:
        """Make an edit of the document; false when it was refused, with the reason told."""

    def show_grids(self) -> None:
        """Fill the tables anew."""


class Column(Struct, frozen=True):
    """A column of a table. ``field`` is the record's field that it shows and sets."""

    table: str
    field: str
    title: str
    width: int
    covers: tuple[str, ...] = ()
    """More fields that are shown and set here; findings about them lead to this cell."""

    @property
    def id(self) -> str:
        """The column's name within its table."""
        return self.field

    @property
    def editable(self) -> bool:
        """Whether the user may type here."""
        return True

    @property
    def why_fixed(self) -> str:
        """What to say where nothing can be typed."""
        return (
            f"{self.title.lstrip('·')} is computed: change what it follows from (ctrl+w shows what)"
        )

    def shown(self, document: Any, sheet: Any, record: Any) -> str:
        """The cell's text, with ``~`` before what the engine chose."""
        from domain.build.fields import show_field

        if getattr(record, self.field) is None:
            chosen = self._chosen(document, sheet, record)
            if chosen is None:
                return AUTO if self._chosen_later else "-"
            return AUTO + show_field(
                document, self.table, record.but(**{self.field: chosen}), self.field
            )
        return show_field(document, self.table, record, self.field)

    @property
    def end_tells(self) -> bool:
        """Whether the end of a text is shown too where there is less room than it takes."""
        return False

    def style(self, text: str) -> str:
        """How a cell with this text is drawn."""
        return "dim" if not self.editable else "italic" if text.startswith(AUTO) else ""

    def described(self, document: Any) -> str:
        """One line of help: what it is and what may be typed."""
        from domain.build.fields import describe_field

        return describe_field(document, self.table, self.field)

    def opened(self, document: Any, sheet: Any, record: Any) -> str:
        """The text that the cell is opened with for editing."""
        text = self.shown(document, sheet, record)
        return "" if text == "-" else text.removeprefix(AUTO)

    def typed(self, document: Any, record: Any, text: str) -> Edit:
        """The edit that this text asks for; ``ValueError`` with a sentence if it cannot be."""
        from domain.build.fields import parse_field

        text = text.strip()
        if self.optional:
            text = text.removeprefix(AUTO)
        return self._set(record, parse_field(document, self.table, self.field, text))

    def taken(self, document: Any, record: Any, text: str) -> "TakenAs | None":
        """What is to be said of how a text was taken, once it was; mostly nothing.

        Of wire, which is measured in feet and in inches, what a bare number was taken as.
        """
        if self.table not in _OF_WIRE or not self.field.endswith("_m"):
            return None
        from domain.build.lengths import taken_as

        return taken_as(document, record if self.field == "length_m" else None, text.strip())

    def pinned(self, document: Any, sheet: Any, record: Any) -> Edit | None:
        """The edit that keeps the engine's figure, if there is one to keep."""
        if getattr(record, self.field) is not None:
            return None
        chosen = self._chosen(document, sheet, record)
        return None if chosen is None else self._set(record, chosen)

    def given_back(self, record: Any) -> Edit | None:
        """The edit that leaves the figure open again, if it may be; a text that may be is empty."""
        left = None if self.optional else ""
        if getattr(record, self.field) == left or not (self.optional or self._may_be_empty):
            return None
        return self._set(record, left)

    def stepped(self, document: Any, record: Any) -> Edit | None:
        """The edit to the next choice; ``None`` where there are no choices."""
        values = [edit for _, edit in self.options(document, record)]
        if not values:
            return None
        now = self._set(record, getattr(record, self.field))
        place = values.index(now) if now in values else -1
        return values[(place + 1) % len(values)]

    def options(self, document: Any, record: Any) -> list[tuple[str, Edit]]:
        """The choices as (label, edit), for a list to pick from."""
        if not self.has_choices:
            return []
        from domain.build.fields import choices

        return [
            (label, self._set(record, value))
            for value, label in choices(document, self.table, self.field)
        ]

    def changes(self, bench: Any, edit: Any) -> bool:
        """Whether an edit changes anything; ``EditRefused`` when it cannot be made."""
        return bool(bench.changes(edit))

    def preview(self, bench: Any, edit: Any) -> Any:
        """The figures as they would be after an edit; ``None``: nothing follows from it."""
        return bench.preview(edit)

    def commit(self, host: Host, edit: Any) -> bool:
        """Make an edit that came from a cell of this column; false when it was refused."""
        return host.commit(edit)

    @property
    def after_enter(self) -> str:
        """Where enter leads once a value was typed: "right", "down" the column, or "stay"."""
        return "right"

    def fills(self, record: Any) -> bool:
        """Whether enter stops at this record on its way down the column."""
        return True

    @property
    def optional(self) -> bool:
        """Whether the field may be left to the engine, or left out."""
        return _schema(self.table, self.field).optional

    @property
    def _may_be_empty(self) -> bool:
        """Whether ``delete`` empties it: a text that the record says something of."""
        known = _schema(self.table, self.field)
        return known.kind == "text" and bool(known.typed)

    @property
    def has_choices(self) -> bool:
        """Whether the field takes one of a list of values."""
        return kind(self.table, self.field) in ("choice", "reference", "flag")

    @property
    def _chosen_later(self) -> bool:
        return self.has_choices or kind(self.table, self.field) == "gauge"

    def _chosen(self, document: Any, sheet: Any, record: Any) -> Scalar:
        """What counts where the field is left open; ``None`` where nothing does."""
        default: Scalar = document.default_of(record, self.field)
        if default is not None or sheet is None:
            return default
        return auto_value(document, sheet, self.table, record, self.field)

    def _set(self, record: Any, value: Scalar) -> Edit:
        id = "" if self.table == "header" else record.id
        return SetField(table=self.table, id=id, field=self.field, value=value)


class HeaderColumn(Column, frozen=True):
    """A field of the header, shown as a row of a form."""

    @property
    def id(self) -> str:
        """The form has one column for all its values."""
        return "value"


class Figure(Column, frozen=True):
    """A computed column: shows a figure of the sheet and takes nothing."""

    figure: Callable[[Any, Any, Any], str] = field(default=lambda *_: "")

    @property
    def editable(self) -> bool:
        """Nothing can be typed here."""
        return False

    def described(self, build: Build) -> str:
        """What the figure is, if more is to be said than that it is computed."""
        told = self.figure.says if isinstance(self.figure, OfTopic) else ""
        computed = f"{told}; computed" if told else "computed"
        name = self.title.lstrip("·")
        return f"{name}: {computed} (ctrl+w shows how)" if name else "Fields that stand together"

    def shown(self, build: Build, sheet: Sheet, record: Any) -> str:
        """The figure."""
        return self.figure(build, sheet, record)

    def typed(self, build: Build, record: Any, text: str) -> Edit:
        """Refused."""
        raise EditRefused(f"{self.title.lstrip('·')} is computed: change what it follows from")

    def pinned(self, build: Build, sheet: Sheet, record: Any) -> Edit | None:
        """Nothing to pin."""
        return None

    def given_back(self, record: Any) -> Edit | None:
        """Nothing to give back."""
        return None

    def options(self, build: Build, record: Any) -> list[tuple[str, Edit]]:
        """No choices."""
        return []


class Power(Column, frozen=True):
    """Rated power of an amplifier as people say it: ``4x75+1x300`` sets four fields."""

    def described(self, build: Build) -> str:
        """How power is typed."""
        return "Power: rated, in watts: 500, 4x75, or 4x75+1x300 with a bass channel"

    def shown(self, build: Build, sheet: Sheet, record: Any) -> str:
        """The power in short."""
        from domain.build.amplifier_power import show_power

        return show_power(record)

    def typed(self, build: Build, record: Any, text: str) -> Edit:
        """Four fields in one edit."""
        from domain.build.amplifier_power import parse_power

        return Batch(
            edits=tuple(
                SetField(table=self.table, id=record.id, field=name, value=value)
                for name, value in parse_power(text).items()
            ),
            label=f"set power of {record.name or record.id}",
        )

    def given_back(self, record: Any) -> Edit | None:
        """It is not: power is always given."""
        return None

    @property
    def optional(self) -> bool:
        """Power is always given."""
        return False

    @property
    def has_choices(self) -> bool:
        """Power is typed."""
        return False


class Fuse(Column, frozen=True):
    """A run's fuse: ``no``, a rating, or ``auto``; sets whether there is one and its rating.

    A run that has a fuse at its far end alone shows ``at end``: that it has none would alarm.
    """

    def described(self, build: Build) -> str:
        """What is typed, and what the words in it mean."""
        return "Fuse: 80: that rating; auto: chosen; no: none; at end: only at the far end"

    def shown(self, build: Build, sheet: Sheet, record: Any) -> str:
        """The rating, or that there is none at the near end."""
        if not record.fused:
            return "at end" if record.far_fused else "no"
        return Column.shown(self, build, sheet, record).replace("-", AUTO)

    def opened(self, build: Build, sheet: Sheet, record: Any) -> str:
        """The rating without its mark."""
        return self.shown(build, sheet, record).removeprefix(AUTO) if record.fused else "no"

    def typed(self, build: Build, record: Any, text: str) -> Edit:
        """A fuse or none."""
        from domain.build.fields import parse_field

        word = text.strip().lower()
        if word in _NO_WORDS:
            return self._fuse(record, False, None)
        if word in (*_AUTO_WORDS, "yes"):
            return self._fuse(record, True, None)
        value = parse_field(build, self.table, self.field, text.strip().removeprefix(AUTO))
        return self._fuse(record, True, value)

    def pinned(self, build: Build, sheet: Sheet, record: Any) -> Edit | None:
        """Keeps the rating that was chosen; nothing where there is no fuse."""
        return Column.pinned(self, build, sheet, record) if record.fused else None

    def stepped(self, build: Build, record: Any) -> Edit | None:
        """A fuse on, or off."""
        return self._fuse(record, not record.fused, record.fuse_a)

    def _fuse(self, record: Any, fused: bool, value: Scalar) -> Edit:
        return Batch(
            edits=(
                SetField(table="runs", id=record.id, field="fused", value=fused),
                SetField(table="runs", id=record.id, field="fuse_a", value=value),
            ),
            label=f"set the fuse of {record.name or record.id}",
        )


class Hang(Column, frozen=True):
    """The device that a run hangs on: refused where that would make a loop."""

    def typed(self, build: Build, record: Any, text: str) -> Edit:
        """Re-hang on the device of this name."""
        from domain.build.fields import parse_field
        from domain.build.run_ends import feed_from

        source = parse_field(build, self.table, self.field, text)
        return feed_from(build, record.id, str(source or ""))

    def options(self, build: Build, record: Any) -> list[tuple[str, Edit]]:
        """Only devices that it can hang on."""
        from domain.build.run_ends import feed_from

        found = []
        for name, source in _devices(self, build, record, out=True):
            try:
                found.append((name, feed_from(build, record.id, source)))
            except EditRefused:
                continue
        return found


class FarDevice(Column, frozen=True):
    """The device at a run's far end: a run that is moved is to be measured again."""

    def typed(self, build: Build, record: Any, text: str) -> Edit:
        """Lead it to the device of this name."""
        return _far_end(build, record, Column.typed(self, build, record, text))

    def options(self, build: Build, record: Any) -> list[tuple[str, Edit]]:
        """Only devices that it can lead to."""
        from domain.build.run_ends import move_end

        found = _devices(self, build, record, out=False)
        return [(name, move_end(build, record.id, "target", device)) for name, device in found]


def _devices(column: Column, build: Build, record: Any, *, out: bool) -> Iterator[tuple[str, str]]:
    """Name and id of what an end of a run may be joined to, of the choices of its column."""
    from domain.electrical.network.joinable import joinable

    may = joinable(build, record, out=out)
    for name, edit in Column.options(column, build, record):
        if isinstance(edit, SetField) and edit.value in may:
            yield name, str(edit.value)


def _far_end(build: Build, record: Any, edit: Edit) -> Edit:
    from domain.build.run_ends import move_end

    if not isinstance(edit, SetField):
        return edit
    return move_end(build, record.id, "target", str(edit.value or ""))


class OfJoint(Column, frozen=True):
    """What tells of the bend at which a panel joins another; the root panel has none."""

    def shown(self, build: Build, sheet: Sheet, record: Any) -> str:
        """The value, nothing for the root."""
        return Column.shown(self, build, sheet, record) if record.joins else "-"

    def typed(self, build: Build, record: Any, text: str) -> Edit:
        """Refused for the root."""
        if not record.joins and text.strip() in ("", "-"):
            return self._set(record, getattr(record, self.field))
        if not record.joins:
            raise EditRefused("this flange joins no other, so it has no bend: choose what it joins")
        return Column.typed(self, build, record, text)

    def options(self, build: Build, record: Any) -> list[tuple[str, Edit]]:
        """None for the root."""
        return Column.options(self, build, record) if record.joins else []


def kind(table: str, name: str) -> str:
    """What kind of field it is, as ``domain.build.fields.kind_of`` has it."""
    return _schema(table, name).kind


def _schema(table: str, name: str) -> "FieldSchema":
    from domain.build.schema import schema_of

    return schema_of(record_type_of(table), name)


class Explained(Figure, frozen=True):
    """A column that cannot be typed into; ``why`` says what to do instead."""

    why: str = ""

    @property
    def why_fixed(self) -> str:
        """What to do instead."""
        return self.why

    def described(self, document: Any) -> str:
        """What to do instead."""
        return f"{self.title.lstrip('·')}: {self.why}"


class Borrowed(Column, frozen=True):
    """A column of another table: ``record_of`` finds its record behind a row, if there is one."""

    inner: Column = field(default_factory=lambda: Column("", "", "", 0))
    record_of: Callable[[Any], Any] = field(default=lambda row: row)

    @property
    def editable(self) -> bool:
        """As it is there."""
        return self.inner.editable

    @property
    def why_fixed(self) -> str:
        """As it is there."""
        return self.inner.why_fixed

    def shown(self, document: Any, sheet: Any, record: Any) -> str:
        """As there; nothing where the row has none."""
        own = self.record_of(record)
        return "" if own is None else self.inner.shown(document, sheet, own)

    def described(self, document: Any) -> str:
        """As it is there."""
        return self.inner.described(document)

    @property
    def after_enter(self) -> str:
        """As it is there."""
        return self.inner.after_enter

    def fills(self, record: Any) -> bool:
        """As there; not where the row has none."""
        own = self.record_of(record)
        return own is not None and self.inner.fills(own)

    def opened(self, document: Any, sheet: Any, record: Any) -> str:
        """As it is there."""
        own = self.record_of(record)
        return "" if own is None else self.inner.opened(document, sheet, own)

    def typed(self, document: Any, record: Any, text: str) -> Edit:
        """As there; refused where the row has none."""
        own = self.record_of(record)
        if own is None:
            raise EditRefused(f"this row has no {self.title.lower()}: go to a wire")
        return self.inner.typed(document, own, text)

    def taken(self, document: Any, record: Any, text: str) -> "TakenAs | None":
        """As it is there."""
        own = self.record_of(record)
        return None if own is None else self.inner.taken(document, own, text)

    def pinned(self, document: Any, sheet: Any, record: Any) -> Edit | None:
        """As it is there."""
        own = self.record_of(record)
        return None if own is None else self.inner.pinned(document, sheet, own)

    def given_back(self, record: Any) -> Edit | None:
        """As it is there."""
        own = self.record_of(record)
        return None if own is None else self.inner.given_back(own)

    def stepped(self, document: Any, record: Any) -> Edit | None:
        """As it is there."""
        own = self.record_of(record)
        return None if own is None else self.inner.stepped(document, own)

    def options(self, document: Any, record: Any) -> list[tuple[str, Edit]]:
        """As it is there."""
        own = self.record_of(record)
        return [] if own is None else self.inner.options(document, own)

    @property
    def optional(self) -> bool:
        """As it is there."""
        return self.inner.optional

    @property
    def has_choices(self) -> bool:
        """As it is there."""
        return self.inner.has_choices
