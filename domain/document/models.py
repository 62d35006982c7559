"""Pydantic's models of the entries, made from their declarations.

They understand what is not quite right as it stands, say in sentences what is wrong, describe a
file in JSON Schema and are what the tables of a store are derived from. Importing this module
imports pydantic, which is slow: reading a sound store and an edit that is right do without.
"""

from collections.abc import Mapping
from decimal import Decimal
from functools import cache, reduce
from operator import or_
from types import GenericAlias, UnionType
from typing import Annotated, Any, TypeVar, Union, get_args, get_origin

from msgspec import Meta, Struct, structs, to_builtins
from pydantic import (
    AfterValidator,
    BaseModel,
    ConfigDict,
    Field,
    PlainSerializer,
    StringConstraints,
    TypeAdapter,
    ValidationError,
    create_model,
    model_validator,
)

from domain.document.declared import (
    END,
    REQUIRED,
    About,
    BadEntry,
    Declared,
    Places,
    Through,
    declared,
)

_E = TypeVar("_E", bound=Struct)


class _Model(BaseModel):
    model_config = ConfigDict(frozen=True, defer_build=True, extra="forbid", allow_inf_nan=False)


def entry_of(kind: type[_E], values: Mapping[str, Any]) -> _E:
    """An entry of values that can be understood; ``BadEntry`` says which of them cannot be."""
    try:
        model = model_of(kind).model_validate(_plain(values))
    except ValidationError as error:
        raise refused(error) from None
    return built(kind, model)


def value_of(kind: type[Struct], field: str, value: object) -> Any:
    """A value as a field keeps it; ``BadEntry`` says why it cannot be."""
    try:
        return _adapter(kind, field).validate_python(value)
    except ValidationError as error:
        raise refused(error) from None


def refused(error: ValidationError) -> BadEntry:
    """What to say of values that cannot be, as one plain sentence."""
    parts = []
    details: list[dict[str, Any]] = [dict(each) for each in error.errors(include_url=False)]
    for item in details[:3]:
        where = ".".join(str(step) for step in item["loc"])
        value = item.get("input")
        given = str(value) if isinstance(value, Decimal) else repr(value)
        shown = given if len(given) <= 40 else given[:37] + "..."
        reason = item["msg"].removeprefix("Value error, ")
        parts.append(
            f"{where}: {reason[0].lower()}{reason[1:]} (given {shown})" if where else reason
        )
    return BadEntry("; ".join(parts), details)


_KINDS: dict[type[BaseModel], type[Struct]] = {}


@cache
def model_of(kind: type[Struct]) -> type[BaseModel]:
    """The model of an entry: the same fields under the same name."""

    def together(model: BaseModel) -> BaseModel:
        entry: Any = built(kind, model)
        if wrong := entry.wrong():
            raise ValueError(wrong)
        return model

    makers = {each.name: each.default_factory for each in structs.fields(kind)}
    fields: dict[str, Any] = {
        name: (_typed(each.hint), _field(each, makers[name]))
        for name, each in declared(kind).items()
    }
    checks: dict[str, Any] = {"together": model_validator(mode="after")(together)}
    model: type[BaseModel] = create_model(
        kind.__name__, __base__=_Model, __doc__=kind.__doc__, __validators__=checks, **fields
    )
    _KINDS[model] = kind
    return model


def built(kind: type[_E], model: BaseModel) -> _E:
    """The entry that a model stands for; what the model has beside its fields is let be."""
    return kind(**{name: _entry(getattr(model, name)) for name in kind.__struct_fields__})


def _entry(value: Any) -> Any:
    if isinstance(value, tuple):
        return tuple(map(_entry, value))
    return built(_KINDS[type(value)], value) if isinstance(value, BaseModel) else value


def _plain(values: Any) -> Any:
    """Values with entries among them as what a model reads."""
    return to_builtins(values, builtin_types=(Decimal,))


def _typed(hint: Any) -> Any:
    """A declared type as pydantic has it."""
    if isinstance(hint, type) and issubclass(hint, Struct):
        return model_of(hint)
    parts = get_args(hint)
    if hasattr(hint, "__metadata__"):
        beside = [each for mark in parts[1:] for each in _marked(mark)]
        return Annotated[(_typed(parts[0]), *beside)] if beside else _typed(parts[0])
    if get_origin(hint) is tuple:
        return GenericAlias(tuple, (_typed(parts[0]), ...))
    if get_origin(hint) in (Union, UnionType):
        return reduce(or_, map(_typed, parts))
    if hint is Decimal:
        shown = PlainSerializer(
            lambda exact: f"{exact:f}", return_type=str, when_used="json-unless-none"
        )
        return Annotated[Decimal, shown]
    return hint


def _marked(mark: object) -> tuple[Any, ...]:
    if isinstance(mark, Meta):
        pattern = None if mark.pattern is None else mark.pattern.replace(END, "$")
        least, most = mark.min_length, mark.max_length
        return (StringConstraints(pattern=pattern, min_length=least, max_length=most),)
    if isinstance(mark, Through):
        if mark.function is str.strip:
            return (StringConstraints(strip_whitespace=True),)
        return (AfterValidator(mark.function),)
    return ()


def _field(field: Declared, maker: Any) -> Any:
    about: About = field.about
    given: dict[str, Any] = dict(about.limits())
    if places := next((mark.most for mark in field.marks if isinstance(mark, Places)), None):
        given["decimal_places"] = places
    if maker is not REQUIRED:
        given["default_factory"] = lambda: _model(maker())
    elif field.default is not REQUIRED:
        given["default"] = _model(field.default)
    return Field(title=about.title, description=about.description or None, **given)


def _model(value: Any) -> Any:
    """A default as its model has it."""
    if isinstance(value, tuple):
        return tuple(map(_model, value))
    return model_of(type(value))(**_plain(value)) if isinstance(value, Struct) else value


@cache
def _adapter(kind: type[Struct], field: str) -> TypeAdapter[Any]:
    info = model_of(kind).model_fields[field]
    annotation: Any = info.annotation
    return TypeAdapter(
        Annotated[annotation, *info.metadata] if info.metadata else annotation,
        config=ConfigDict(allow_inf_nan=False),
    )
