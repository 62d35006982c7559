"""JSON as a store holds it. A start has none to read: its library waits until it is asked."""

from typing import Any


def compact(value: Any) -> str:
    """Plain values as ASCII JSON without blanks."""
    import json

    return json.dumps(value, separators=(",", ":"))


def read_json(text: str) -> Any:
    """The plain values of a JSON text; ``ValueError`` if it is none."""
    import json

    return json.loads(text)
