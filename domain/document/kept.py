"""Results kept by the identity of what they follow from.

Records and tables are frozen: the very same one says the very same thing. An edit makes a new
table of what it changes and leaves all others as they are, so that what follows from these is
found again at the next key, and nothing is compared or hashed for it.
"""

from collections.abc import Callable
from functools import wraps
from typing import ParamSpec, TypeVar

_Given = ParamSpec("_Given")
_Found = TypeVar("_Found")


def kept(
    most: int, by: Callable[..., tuple[object, ...]] | None = None
) -> Callable[[Callable[_Given, _Found]], Callable[_Given, _Found]]:
    """Decorate a pure function of frozen arguments: so many results are kept.

    ``by`` gives what of its arguments a result follows from, where that is less than all of them.
    It is kept with the results, so that an identity is never taken for another's.
    ``TypeError`` for an argument that is given by name: it would not be told apart.
    """

    def decorated(function: Callable[_Given, _Found]) -> Callable[_Given, _Found]:
        known: dict[tuple[int, ...], tuple[object, _Found]] = {}

        @wraps(function)
        def looked_up(*args: _Given.args, **named: _Given.kwargs) -> _Found:
            if named:
                raise TypeError(f"{function.__name__}: arguments are given by place")
            bearing = args if by is None else by(*args, **named)
            key = tuple(map(id, bearing))
            found = known.get(key)
            if found is None:
                if len(known) >= most:
                    known.clear()
                found = known[key] = bearing, function(*args, **named)
            return found[1]

        return looked_up

    return decorated
