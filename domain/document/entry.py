"""What a person entered: frozen values under names, checked before they are kept."""

from collections.abc import Mapping
from decimal import Decimal
from typing import Any, Self

from msgspec import Struct, convert, to_builtins
from msgspec.structs import replace

from domain.document.declared import BadEntry, declared, rules


class Entry(Struct, frozen=True, forbid_unknown_fields=True):
    """Frozen values under names.

    To make one by its class is for values that the program knows to be right. What comes from
    outside goes through ``of``, which checks it: what is right as it stands is taken by msgspec at
    once; all else is put to a model, that takes what can be understood ("12" is a number) and says
    what is wrong with the rest.
    """

    @classmethod
    def of(cls, values: Mapping[str, Any]) -> Self:
        """An entry of these values; ``BadEntry`` says which of them cannot be, and why."""
        try:
            found = convert(values, cls)
            if found.right():
                return found
        except (ValueError, OverflowError):
            pass
        from domain.document.models import entry_of

        return entry_of(cls, values)

    def but(self, **values: Any) -> Self:
        """The same with other values of some fields, which are known to be right."""
        return replace(self, **values)

    def set(self, field: str, value: object) -> Self:
        """The same with a value of one field, checked; ``BadEntry`` says why it cannot be."""
        try:
            found = self.but(**{field: taken(type(self), field, value)})
            if not found.wrong():
                return found
        except BadEntry:
            pass
        return self.of({**self.plain(), field: value})

    def plain(self) -> dict[str, Any]:
        """Its values as JSON has them; exact decimals as text."""
        found: dict[str, Any] = to_builtins(self, builtin_types=(Decimal,))
        for name, value in found.items():
            if isinstance(value, Decimal):
                found[name] = f"{value:f}"
        return found

    def right(self) -> bool:
        """Whether all its values, which have the right types, may stand as they are."""
        return all(rule(getattr(self, name)) for name, rule in rules(type(self)).items()) and (
            not self.wrong()
        )

    def wrong(self) -> str:
        """What is wrong with values that are right each by itself; empty: nothing."""
        return ""


def taken(kind: type[Entry], field: str, value: object) -> Any:
    """A value as a field keeps it; ``BadEntry`` says why it cannot be."""
    try:
        found = convert(value, declared(kind)[field].hint)
        rule = rules(kind).get(field)
        if rule is None or rule(found):
            return found
    except (ValueError, OverflowError):
        pass
    from domain.document.models import value_of

    return value_of(kind, field, value)
