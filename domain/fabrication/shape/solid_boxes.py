"""Do solid boxes run into each other: the panels of a folded part, screws, devices?

Two boxes are apart if and only if one of fifteen axes separates them (separating axis theorem).
"""

from domain.fabrication.shape.space import Space, cross, dot

Axes = tuple[Space, Space, Space]
Solid = tuple[Space, Axes, Space]
"""Centre [m], unit axes, half sizes along them [m]."""

_TOUCH_M = 1e-5
"""Boxes that reach into each other by less than this [m] only touch."""


def boxes_meet(one: Solid, other: Solid) -> bool:
    """Whether two boxes occupy some of the same space, by more than a touch."""
    (c, a, half_a), (e, b, half_b) = one, other
    d = e[0] - c[0], e[1] - c[1], e[2] - c[2]
    reach: float = dot(half_a, half_a) ** 0.5 + dot(half_b, half_b) ** 0.5
    if dot(d, d) >= reach * reach:
        return False
    if any(_separates(axis, d, one, other) for axis in (*a, *b)):
        return False
    crossed = (cross(x, y) for x in a for y in b)
    return not any(_separates(axis, d, one, other) for axis in crossed)


def _separates(axis: Space, d: Space, one: Solid, other: Solid) -> bool:
    length: float = dot(axis, axis) ** 0.5
    if length < 1e-9:
        return False
    reach = sum(h * abs(dot(axis, v)) for h, v in zip(one[2], one[1], strict=True))
    reach += sum(h * abs(dot(axis, v)) for h, v in zip(other[2], other[1], strict=True))
    return abs(dot(d, axis)) > reach - _TOUCH_M * length
