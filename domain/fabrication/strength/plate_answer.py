"""What a part does under one g from any side, out of its plates pinned and held at their screws."""

from __future__ import annotations

from typing import TYPE_CHECKING

from msgspec import Struct

from domain.fabrication.strength.plate_energy import Energy
from domain.fabrication.strength.plate_solution import Held, ScrewPull, grid

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from domain.fabrication.strength.folded_plates import Folded

    Array = NDArray[np.float64]

_STOUT = 3.0
"""What shear over the thickness adds to the sag of a flat plate, in (t/side)2."""

PRYING = 2.0
"""A flange pries with at most as much as it is pulled with (common practice for short flanges)."""


class Solution(Struct, frozen=True):
    """What one g does to a part: highest stress [Pa] and where, sag [m], first mode [Hz].

    ``panel`` is where the stress is highest; ``bend`` whether that is at the bend of this panel,
    ``section`` whether it is the net section by statics. ``reach_m`` is from the point of the
    sheet that is furthest from any screw to its nearest one; ``clamped`` whether only its washers
    keep it from tipping.
    """

    stress_pa: float
    panel: str
    bend: bool
    section: bool
    sag_m: float
    natural_hz: float
    reach_m: float
    clamped: bool
    screws: tuple[ScrewPull, ...]


def solve(part: Folded, modulus_pa: float, poisson: float, flush: bool) -> Solution | None:
    """The answers of a part under one g; ``None`` where it has no screw.

    A part that is not flush on something stiff, or of which nobody knows, is pinned at its screws
    for sag and first mode, with the worse of pinned and held for stress and screws; on one or two
    screws, or all in one line, only the clamping of the washers keeps it. A part that is flush is
    held by its washers.
    """
    if not part.clamps:
        return None
    energy = Energy(part, modulus_pa, poisson)
    tips = in_line(part)
    held = Held(energy, True)
    pinned = None if tips else Held(energy, False)
    first = held if flush or pinned is None else pinned
    looked_at = [held] if flush or pinned is None else [pinned, held]
    stress, panel, bend, section = max(each.stress_pa() for each in looked_at)
    flat = len(part.plates) == 1
    stout = 1 + _STOUT * (part.thickness_m / part.shortest_m) ** 2 if flat else 1.0
    return Solution(
        stress_pa=stress,
        panel=panel,
        bend=bend,
        section=section,
        sag_m=first.sag_m() * stout,
        natural_hz=first.first_mode_hz() / stout**0.5,
        reach_m=furthest_m(part),
        clamped=tips,
        screws=screw_pulls(held, pinned),
    )


def screw_pulls(held: Held, pinned: Held | None) -> tuple[ScrewPull, ...]:
    """What each screw takes, the worse of pinned and held.

    Held, the sheet pries on its washer; where the screws alone would hold the part, that makes no
    more than ``PRYING`` times what they then take.
    """
    pries = held.screws()
    if pinned is None:
        return pries
    return tuple(
        ScrewPull(
            pry.hole,
            max(plain.pull_n, min(pry.pull_n, PRYING * plain.pull_n)),
            max(plain.shear_n, pry.shear_n),
        )
        for pry, plain in zip(pries, pinned.screws(), strict=True)
    )


def in_line(part: Folded) -> bool:
    """Whether only the clamping of its washers keeps a part from tipping or turning.

    One screw, two, or all in one line: the smaller way across them is less than a washer's radius.
    """
    import numpy as np

    if len(part.clamps) < 3:
        return True
    places = _places(part)
    across = np.linalg.svd(places - places.mean(axis=0), compute_uv=False)[1]
    return bool(across < min(clamp.radius_m for clamp in part.clamps))


def furthest_m(part: Folded) -> float:
    """From the point of the sheet that is furthest from any screw to its nearest one [m]."""
    import numpy as np

    screws = _places(part)
    worst = 0.0
    for number, plate in enumerate(part.plates):
        at = part_points(part, number, grid(plate.rect, 5))
        apart = np.linalg.norm(at[:, None] - screws[None], axis=2).min(axis=1)
        worst = max(worst, float(apart.max()))
    return worst


def part_points(part: Folded, plate: int, at: Array) -> Array:
    """Points of a plate in space [m]."""
    import numpy as np

    on = part.plates[plate]
    axes = np.array(on.axes)
    found: Array = np.array(on.origin) + at @ axes[:2]
    return found


def _places(part: Folded) -> Array:
    import numpy as np

    return np.concatenate(
        [part_points(part, c.plate, np.array([[c.x_m, c.y_m]])) for c in part.clamps]
    )
