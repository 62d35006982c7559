"""The shop's own kits: a set of its items under one name, put on the bill of a build at once."""

from typing import Annotated

from domain.document.declared import About, Kind, Name, Ref
from domain.document.records import Record

_COUNT = "type how many of it, or how much in its unit, as 4 or 7.5"
_NAME = "type a name that no other kit has"


class Kit(Record, frozen=True):
    """A set of items under one name."""

    name: Annotated[
        Name, Kind("text", _NAME), About("Kit", "what the set is called; no two kits share a name")
    ] = "New kit"


class KitPart(Record, frozen=True):
    """One item of a kit: kits hold items, never other kits."""

    kit: Annotated[Ref, About("Kit", "kit that it belongs to")] = ""
    item: Annotated[Ref, About("Item", "item of the shop")] = ""
    count: Annotated[
        float,
        Kind("number", _COUNT),
        About("How much", "how much of the item, in its unit", gt=0, le=1e5),
    ] = 1
