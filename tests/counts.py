"""How many random cases a run takes: a sample, or with ``FULL_COUNT`` in the environment all."""

import os

FULL = "FULL_COUNT" in os.environ


def cases(full: int, sample: int) -> int:
    """The whole count, or in a run that is to be quick a sample of the same cases."""
    return full if FULL else sample
