"""What the modules of this package hand to the registry."""

from collections.abc import Callable, Mapping
from typing import Any

from domain.workings.context import Context
from domain.workings.working import Working

Maker = Callable[[Context, Any, str], Working]
"""Context, the sheet's record and, in a field of many figures, which one -> working."""

Makers = Mapping[str, Mapping[str, Maker]]
"""Kind of record -> field -> what makes the working."""
