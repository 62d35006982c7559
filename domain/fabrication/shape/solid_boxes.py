"""Do solid boxes run into each other: the panels of a folded part, screws, devices?

Two boxes are apart if and only if one of fifteen axes separates them (separating axis theorem).
"""

Space = tuple[float, float, float]
Axes = tuple[Space, Space, Space]
Solid = tuple[Space, Axes, Space]
"""Centre [m], unit axes, half sizes along them [m]."""

_TOUCH_M = 1e-5
"""Boxes that reach into each other by less than this [m] only touch."""


def boxes_meet(one: Solid, other: Solid) -> bool:
    """Whether two boxes occupy some of the same space, by more than a touch."""
    (c, a, half_a), (e, b, half_b) = one, other
    d = e[0] - c[0], e[1] - c[1], e[2] - c[2]
    reach: float = _dot(half_a, half_a) ** 0.5 + _dot(half_b, half_b) ** 0.5
    if _dot(d, d) >= reach * reach:
        return False
    if any(_separates(axis, d, one, other) for axis in (*a, *b)):
        return False
    crossed = (_cross(x, y) for x in a for y in b)
    return not any(_separates(axis, d, one, other) for axis in crossed)


def _separates(axis: Space, d: Space, one: Solid, other: Solid) -> bool:
    length: float = _dot(axis, axis) ** 0.5
    if length < 1e-9:
        return False
    reach = sum(h * abs(_dot(axis, v)) for h, v in zip(one[2], one[1], strict=True))
    reach += sum(h * abs(_dot(axis, v)) for h, v in zip(other[2], other[1], strict=True))
    return abs(_dot(d, axis)) > reach - _TOUCH_M * length


def _cross(a: Space, b: Space) -> Space:
    return (
        a[1] * b[2] - a[2] * b[1],
        a[2] * b[0] - a[0] * b[2],
        a[0] * b[1] - a[1] * b[0],
    )


def _dot(a: Space, b: Space) -> float:
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
