"""The shop's own kits: a set of its items under one name, put on the bill of a build at once."""

from typing import Annotated

from pydantic import Field

from domain.document.records import Kind, Name, Record, Ref

_COUNT = "type how many of it, or how much in its unit, as 4 or 7.5"
_NAME = "type a name that no other kit has"


class Kit(Record):
    """A set of items under one name."""

    name: Annotated[Name, Kind("text", _NAME)] = Field(
        "New kit", title="Kit", description="what the set is called; no two kits share a name"
    )


class KitPart(Record):
    """One item of a kit: kits hold items, never other kits."""

    kit: Ref = Field("", title="Kit", description="kit that it belongs to")
    item: Ref = Field("", title="Item", description="item of the shop")
    count: Annotated[float, Kind("number", _COUNT)] = Field(
        1, gt=0, le=1e5, title="How much", description="how much of the item, in its unit"
    )
