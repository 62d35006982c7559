"""Preset shapes: one edit each, the outside sizes asked for, nothing to mend."""

import pytest

from domain.build.edits import EditRefused, apply
from domain.build.records import Build
from domain.fabrication.parts import fabricate
from domain.fabrication.presets import PRESETS, Sizes, preset

SIZES = Sizes(length_m=0.2, width_m=0.15, height_m=0.1, flange_m=0.06)
T = 0.003


@pytest.mark.parametrize("material", ["ABS", "aluminium 5052-H32"])
@pytest.mark.parametrize(
    ("shape", "envelope"),
    [
        # by hand, to outside faces: across, along, up
        ("plate", (0.15, 0.2, T)),
        ("L", (0.15, 0.2, 0.1)),
        ("Z", (0.15, 0.06 + 0.2 - T, 0.1)),
        ("U", (0.15, 0.2, 0.1)),
        ("hat", (0.15, 0.2 + 2 * (0.06 - T), 0.1)),
        ("tray", (0.15, 0.2, 0.1)),
    ],
)
def test_outside_sizes(shape: str, envelope: tuple[float, float, float], material: str) -> None:
    edit = preset(Build(), shape, SIZES, material=material, thickness_m=T)
    build, inverse = apply(Build(), edit)
    (part,), findings = fabricate(build)
    assert part.shape == shape
    assert part.envelope_m == pytest.approx(envelope)
    assert findings == ()
    assert part.bends == len(build.panels) - 1
    assert apply(build, inverse)[0] == Build()


def test_presets_add_to_what_is_there() -> None:
    build = Build()
    for shape in PRESETS:
        build, _ = apply(build, preset(build, shape))
    parts, findings = fabricate(build)
    assert [part.shape for part in parts] == list(PRESETS)
    assert findings == ()


def test_refusals_say_what_would_do() -> None:
    with pytest.raises(EditRefused, match="the shapes are plate, L, Z, U, hat, tray"):
        preset(Build(), "banana")
    with pytest.raises(EditRefused, match="MDF is not bent"):
        preset(Build(), "L", material="MDF")
    with pytest.raises(EditRefused, match="longer than its two bends take"):
        preset(Build(), "tray", Sizes(length_m=0.01))
    with pytest.raises(EditRefused, match="thickness_m"):
        preset(Build(), "L", thickness_m=-1)
    assert apply(Build(), preset(Build(), "plate", material="MDF"))[0].parts[0].material == "MDF"
