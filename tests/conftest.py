"""What holds for the whole suite."""

from hypothesis import settings

settings.register_profile("suite", derandomize=True, deadline=None)
settings.load_profile("suite")
"""The same examples at every run: a red suite then means a change, not a new random number.
To look for new ones: ``pytest --hypothesis-profile default``."""
