"""An amplifier's ratings as one cell: "4x75+1x300" is channels times watts, then the bass set."""

import re

from domain.build.choices import UnitHabit
from domain.build.edits import Scalar
from domain.build.records import Amplifier
from domain.build.schema import checked
from domain.patterns import Pattern
from domain.units.parse import LONGEST, UnitError, parse_quantity
from domain.units.show import format_quantity, trimmed
from domain.visible_text import visible

_SET = Pattern(r"\s*(?:([0-9]{1,4})\s*(?:ch(?:annels?)?\.?\s*)?[xX×*]\s*)?(.+)", re.ASCII)
_TURNED = Pattern(
    r"\s*([0-9.,]+\s*k?w(?:atts?)?(?:\s*rms)?)\s*[x×*]\s*([0-9]{1,4})\s*(?:ch(?:annels?)?\.?)?\s*",
    re.ASCII | re.IGNORECASE,
)
_CHANNELS = Pattern(r"\s*(?:[1-9]|1[0-6])\s*(?:ch(?:annels?)?\.?)?\s*", re.ASCII)
_MOST_CHANNELS = 16
"""More channels than any amplifier has: of two numbers the greater is then the watts."""
LEAST_W = 5.0
"""No amplifier that is built in has less of a channel [W]: such a figure is a slip."""
_THOUSANDS = Pattern(r"[0-9]{1,3}\.[0-9]{3}(?![0-9]).*", re.ASCII)
_WANTED = "power is wanted as 500, 4x75 or 4x75+1x300 [W]"


def parse_power(text: str, least_w: float = LEAST_W) -> dict[str, Scalar]:
    """Values of channels, channel_w, sub_channels and sub_channel_w [W] from one typed cell.

    A set without a count is one channel; a missing bass set is 0 channels of 0 W. Where the unit
    says which is which, or the first number is more than an amplifier's channels, the watts may
    stand first: "75 W x 4", "100x4". ``least_w`` is what a channel has at least.
    ``UnitError`` says what was wrong and what would do.
    """
    sets = text.split("+")
    if not text.strip() or len(text) > LONGEST:
        said = f"{len(text)} characters are too many" if text.strip() else "nothing was typed"
        raise UnitError(f"{said}; {_WANTED}")
    if len(sets) > 2:
        raise UnitError(
            f"'{visible(text.strip())}' has {len(sets)} sets of channels, an amplifier has at "
            f"most two; {_WANTED}"
        )
    values: dict[str, Scalar] = {"sub_channels": 0, "sub_channel_w": 0.0}
    for typed, count_field, watts_field in zip(
        sets, ("channels", "sub_channels"), ("channel_w", "sub_channel_w"), strict=False
    ):
        match = _SET.fullmatch(typed)
        if match is None or typed.strip()[-1:] in ("", "x", "X", "×", "*"):
            raise UnitError(f"'{visible(text.strip())}' has an empty set; {_WANTED}")
        turned = _TURNED.fullmatch(typed)
        watts, count = turned.groups() if turned else reversed(match.groups())
        if count and int(count) > _MOST_CHANNELS and _CHANNELS.fullmatch(watts):
            watts, count = count, "".join(filter(str.isdigit, watts))  # 100x4, as the box says it
        values[count_field] = _checked(count_field, int(count or 1))
        values[watts_field] = _watts(watts_field, watts.strip(), least_w)
    return values


def _watts(field: str, typed: str, least_w: float) -> Scalar:
    """What a channel has [W]; ``UnitError`` where no amplifier has so little, or so much."""
    value = parse_quantity("power", typed, UnitHabit.METRIC)
    if value < least_w:
        shown = format_quantity("power", value, UnitHabit.METRIC)
        point = "; a point parts decimals, a comma thousands" * bool(_THOUSANDS.fullmatch(typed))
        said = f"'{visible(typed)}' is {shown}, a channel has at least {trimmed(least_w, 0)} W"
        raise UnitError(f"{said}{point}; {_WANTED}")
    return _checked(field, value)


def _checked(field: str, value: Scalar) -> Scalar:
    return checked("amplifiers", field, value, UnitHabit.METRIC)


def show_power(amplifier: Amplifier) -> str:
    """An amplifier's ratings as they are typed, in watts: "4x75+1x300", "1x500"."""
    main = f"{amplifier.channels}x{trimmed(amplifier.channel_w, 2)}"
    if not amplifier.sub_channels:
        return main
    return f"{main}+{amplifier.sub_channels}x{trimmed(amplifier.sub_channel_w, 2)}"
