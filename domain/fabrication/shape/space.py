"""Vectors in space, as triples."""

Space = tuple[float, float, float]


def dot(a: Space, b: Space) -> float:
    """The inner product."""
    return a[0] * b[0] + a[1] * b[1] + a[2] * b[2]


def cross(a: Space, b: Space) -> Space:
    """The vector product, square to both."""
    return (
        a[1] * b[2] - a[2] * b[1],
        a[2] * b[0] - a[0] * b[2],
        a[0] * b[1] - a[1] * b[0],
    )


def less(a: Space, b: Space) -> Space:
    """The way from ``b`` to ``a``."""
    return a[0] - b[0], a[1] - b[1], a[2] - b[2]


def along(a: Space, way: Space, length: float) -> Space:
    """The point ``a`` moved by ``length`` times a vector."""
    return a[0] + way[0] * length, a[1] + way[1] * length, a[2] + way[2] * length
