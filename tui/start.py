"""The console command: sets the process up for a quick start, then runs the command line."""

import gc
import os
from typing import NoReturn


def main() -> NoReturn:
    """Run the command line of this process.

    Collecting garbage while imports make objects by the ten thousand finds nothing and costs
    some 40 ms a time; the terminal program turns it on again once its first screen stands.
    Pydantic looks through every installed package for plugins unless it is told not to.
    """
    gc.disable()
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")
    from tui.commands.main import main as command_line

    command_line()
