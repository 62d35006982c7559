"""How much stands in a JSON text, counted before anything is built from it."""

import re

from storage.errors import TransferError

_TOKEN = re.compile(r'"[^"\\]*+(?:\\.[^"\\]*+)*+"?|[{}:]', re.DOTALL)
"""A string, to its end or that of the text; or one of the signs that make objects."""


def check_outline(text: str, most_objects: int, most_names: int) -> None:
    """Refuse a JSON text with more objects than these, or with more names in one object.

    ``TransferError``. It reads on as far as that takes and keeps nothing of what it reads; a
    text that is no JSON passes, for the parser to refuse.
    """
    objects, names = 0, [0]
    for token in _TOKEN.finditer(text):
        sign = token[0]
        if sign == "{":
            objects += 1
            names.append(0)
        elif sign == "}":
            if len(names) > 1:
                names.pop()
        elif sign == ":":
            names[-1] += 1
        if objects > most_objects:
            raise TransferError(
                f"the file holds more than {most_objects} objects, no build file does: choose a "
                "file that Mainrun exported"
            )
        if names[-1] > most_names:
            raise TransferError(
                f"an object in the file has more than {most_names} names, none in a build file "
                "has: choose a file that Mainrun exported"
            )
