"""Steps of Newton's method for many cases at once, from few inverses.

A stage asks for v + Z (i(v) - g v) = 0. Its matrix is J = 1 + Z (s - g), ``s`` the slopes of the
parts, so that a step leads to v - J^-1 (v + Z (i - g v)) = -M (i - s v) with M = J^-1 Z. It is
worked out once for cases that share their resistances Z, at the slopes of one of them; the ports at
which a case has others are put right by an update of that rank (Woodbury's identity, from memory):
J'^-1 r = y - M (s' - s) (1 + M (s' - s))^-1 y, y = J^-1 r.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Sequence

    import numpy as np
    from numpy.typing import NDArray

    from domain.electrical.transient.groups import Array

    Key = tuple[float, bool]
    """The length of a stage [s], and whether there is a hit."""

    Shared = Sequence[tuple[slice, Array]]
    """Cases that share their resistances, and these [ohm]."""

NEARLY = 0.01
"""A slope that is off by less, as a share of what is seen from its port, is left as it is."""

FEW = 0.2
"""Share of the ports that may need an update; with more of them an inverse is made anew."""


class Ohms:
    """The resistances of the cases, and the inverses that are kept.

    ``fixed`` are the conductances that were put into the network for each port [S].
    """

    def __init__(self, shared: Shared, fixed: Array) -> None:
        self.shared = shared
        self.fixed = fixed
        self.most = max(1, int(FEW * fixed.shape[1]))
        self._ohms = _Product([span for span, _ in shared], [ohms for _, ohms in shared])
        self._made: dict[Key, Steps] = {}
        self._last: dict[bool, _Base] = {}

    def missed(self, volts: Array, amps: Array) -> Array:
        """By how much the voltages do not fit what flows [V]."""
        return volts + self._ohms.of(amps - self.fixed * volts)

    def jacobian(self, slopes: Array, rows: NDArray[np.intp]) -> Array:
        """J of some cases."""
        import numpy as np

        own = [next(ohms for span, ohms in self.shared if row < span.stop) for row in rows]
        return _jacobian(np.stack(own), slopes[rows] - self.fixed[rows])

    def steps(
        self, key: Key, slopes: Array, standing: NDArray[np.bool_], fresh: bool = False
    ) -> Steps:
        """The steps at these slopes; what fails is not looked at.

        Those made before will do where no slope has changed, unless ``fresh`` ones are asked for.
        """
        made = self._made.get(key)
        if not fresh and made is not None and not (made.changed(slopes) & standing).any():
            return made
        base = self._last.get(key[1]) if made is None else made.base
        ports = None if base is None else base.off(slopes, standing)
        if base is None or ports is None or len(ports) > self.most:
            base = _Base(self.shared, self.fixed, slopes)
            ports = base.off(slopes, standing)
            if len(ports) > self.most:
                own = [
                    (slice(row, row + 1), ohms)
                    for span, ohms in self.shared
                    for row in range(span.start, span.stop)
                ]
                base = _Base(own, self.fixed, slopes)
                ports = base.off(slopes, standing)
            self._last[key[1]] = base
        self._made[key] = Steps(base, ports, slopes)
        return self._made[key]


class _Product:
    """Vectors of many cases, each times the matrix that its span shares."""

    def __init__(self, spans: Sequence[slice], matrices: Sequence[Array] | Array) -> None:
        import numpy as np

        self.spans = spans
        self.turned: Array = np.asarray(matrices).swapaxes(1, 2)
        lengths = {span.stop - span.start for span in spans}
        self.each = lengths.pop() if len(lengths) == 1 else 0
        """Cases of each span, where all have as many."""

    def of(self, vectors: Array) -> Array:
        """The products, in the order of the cases."""
        import numpy as np

        if self.each:
            grouped = vectors.reshape(len(self.spans), self.each, -1)
            found: Array = (grouped @ self.turned).reshape(len(vectors), -1)
            return found
        own = [vectors[span] @ turned for span, turned in zip(self.spans, self.turned, strict=True)]
        return np.concatenate(own)


class _Base:
    """An inverse for all cases that share resistances, at the slopes of the first of them."""

    def __init__(self, shared: Shared, fixed: Array, slopes: Array) -> None:
        import numpy as np

        self.spans = [span for span, _ in shared]
        firsts = [span.start for span in self.spans]
        counts = [span.stop - span.start for span in self.spans]
        ohms = np.stack([each for _, each in shared])
        jacobian = _jacobian(ohms, slopes[firsts] - fixed[firsts])
        self.across: Array = np.linalg.solve(jacobian, ohms).astype(np.float64, copy=False)
        self.drawn = _Product(self.spans, self.across)
        self.number = np.repeat(np.arange(len(firsts)), counts)
        self.slopes: Array = slopes[firsts][self.number]
        self.seen: Array = np.diagonal(self.across, axis1=1, axis2=2)[self.number]
        """Ohms seen at each port with all parts there."""

    def off(self, slopes: Array, standing: NDArray[np.bool_]) -> NDArray[np.intp]:
        """The ports at which some case has another slope."""
        import numpy as np

        off = np.abs((slopes - self.slopes) * self.seen) > NEARLY
        return np.flatnonzero(off[standing].any(axis=0))


class Steps:
    """Newton's steps with the slopes of some ports put right."""

    def __init__(self, base: _Base, ports: NDArray[np.intp], slopes: Array) -> None:
        import numpy as np

        self.base, self.ports = base, ports
        self._none = np.zeros(len(slopes), dtype=bool)
        more = slopes[:, ports] - base.slopes[:, ports]
        self.slopes = base.slopes.copy()
        self.slopes[:, ports] = slopes[:, ports]
        self.seen = base.seen.copy()
        self.seen[:, ports] /= 1 + self.seen[:, ports] * more  # but for what the others change
        own = _jacobian(base.across[:, ports[:, None], ports][base.number], more)
        self.within: Array = NEARLY / np.abs(self.seen)
        self.update: Array = more[:, :, None] * np.linalg.inv(own)
        self.columns = _Product(base.spans, base.across[:, :, ports])

    def step(self, volts: Array, amps: Array) -> Array:
        """By how much the ports move where these currents flow at these voltages [V]."""
        found = volts + self.base.drawn.of(amps - self.base.slopes * volts)
        if len(self.ports):
            drawn = (self.update @ found[:, self.ports, None])[:, :, 0]
            found -= self.columns.of(drawn)
        return found

    def changed(self, slopes: Array) -> NDArray[np.bool_]:
        """The cases whose slopes are no longer those of the steps: a diode that has shut moves by
        next to nothing in a step of one that conducts."""
        import numpy as np

        off = np.abs(slopes - self.slopes) > self.within
        found: NDArray[np.bool_] = np.any(off, axis=1) if off.any() else self._none
        return found


def _jacobian(ohms: Array, siemens: Array) -> Array:
    """1 + Z s of each case."""
    import numpy as np

    found: Array = ohms * siemens[:, None, :]
    index = np.arange(found.shape[1])
    found[:, index, index] += 1.0
    return found
