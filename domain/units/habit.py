"""Which units a person is used to."""

from enum import StrEnum


class UnitHabit(StrEnum):
    """How lengths and temperatures are shown."""

    INCH = "inch"
    METRIC = "metric"
