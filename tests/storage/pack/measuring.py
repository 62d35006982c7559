"""Lines, curves and pixels of a PDF as another library reads them, in millimetres, y upward."""

from dataclasses import dataclass
from itertools import pairwise
from math import dist
from typing import Any

import pymupdf

MM = 25.4 / 72
Point = tuple[float, float]


@dataclass(frozen=True)
class Drawn:
    """One path as drawn: its points (curves in steps), the weight of its line, if filled."""

    points: tuple[Point, ...]
    weight: float
    filled: bool

    @property
    def length(self) -> float:
        return sum(dist(a, b) for a, b in pairwise(self.points))

    @property
    def box(self) -> tuple[float, float, float, float]:
        xs, ys = [x for x, _ in self.points], [y for _, y in self.points]
        return min(xs), min(ys), max(xs), max(ys)


def open_pdf(content: bytes) -> Any:
    reader: Any = pymupdf
    return reader.open(stream=content, filetype="pdf")


def drawn(page: Any, steps: int = 64) -> list[Drawn]:
    """Every path on a page, whole even where a window cuts it."""
    height = page.rect.height
    return [_path(each, height, steps) for each in page.get_drawings()]


def _path(each: dict[str, Any], height: float, steps: int) -> Drawn:
    points: list[Point] = []
    for kind, *at in each["items"]:
        if kind == "re":
            r = at[0]
            more = [(r.x0, r.y0), (r.x1, r.y0), (r.x1, r.y1), (r.x0, r.y1), (r.x0, r.y0)]
        elif kind == "qu":
            q = at[0]
            more = [(p.x, p.y) for p in (q.ul, q.ur, q.lr, q.ll, q.ul)]
        elif kind == "l":
            more = [(p.x, p.y) for p in at]
        else:
            more = [_bezier(at, i / steps) for i in range(steps + 1)]
        points += more[1:] if points and dist(points[-1], more[0]) < 1e-6 else more
    if each.get("closePath") and points[0] != points[-1]:
        points.append(points[0])
    flipped = tuple((x * MM, (height - y) * MM) for x, y in points)
    return Drawn(flipped, (each.get("width") or 0.0) * MM, each.get("fill") is not None)


def _bezier(at: list[Any], t: float) -> Point:
    u = 1 - t
    shares = (u**3, 3 * u * u * t, 3 * u * t * t, t**3)
    x = sum(share * p.x for share, p in zip(shares, at, strict=True))
    y = sum(share * p.y for share, p in zip(shares, at, strict=True))
    return x, y


def crosses(paths: list[Drawn]) -> list[Point]:
    """Middles of the registration crosses: lines 10 mm long and 0.2 mm heavy, in pairs."""
    lines = [
        p.box
        for p in paths
        if len(p.points) == 2 and abs(p.length - 10) < 0.01 and abs(p.weight - 0.2) < 1e-3
    ]
    level = [((a + c) / 2, b) for a, b, c, d in lines if d - b < 1e-3]
    upright = [(a, (b + d) / 2) for a, b, c, d in lines if c - a < 1e-3]
    return [one for one in level if any(dist(one, other) < 0.01 for other in upright)]


def pixels(page: Any, dpi: int) -> tuple[int, int, memoryview]:
    """Width, height and grey values of a page as printed."""
    map = page.get_pixmap(dpi=dpi, colorspace=pymupdf.csGRAY)
    return map.width, map.height, memoryview(map.samples)
