"""The console command: sets the process up for a quick start, then runs the command line."""

import gc
import os
import sys
from typing import NoReturn


def main() -> NoReturn:
    """Run the command line of this process.

    Collecting garbage while imports make objects by the ten thousand finds nothing and costs
    some 40 ms a time; the terminal program turns it on again once its first screen stands.
    Pydantic looks through every installed package for plugins unless it is told not to. Its
    matrices are small: threads that share one out cost numpy half its time. What opens the
    terminal program or lists the builds is read without the library that reads all else.
    """
    gc.disable()
    os.environ.setdefault("PYDANTIC_DISABLE_PLUGINS", "__all__")
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    from tui.commands.opening import plainly

    if asked := plainly(sys.argv[1:]):
        from tui.commands.exits import outcome

        sys.exit(outcome(asked))
    from tui.commands.main import main as command_line

    command_line()
