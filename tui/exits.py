"""How a command ends: one line on standard error, an exit code, and never a traceback."""

import os
import sys
from collections.abc import Callable

import typer

STOPS_FOUND = 1
USAGE = 2
STORE_TROUBLE = 3
FAULT = 70
INTERRUPTED = 130
CLOSED_PIPE = 141
"""Exit codes; the last three as sysexits.h and the shells have them."""


class Refused(Exception):
    """Something the user asked for that cannot be done; the message is one plain line."""


def outcome(command: Callable[[], int | None]) -> int:
    """Run a command and give its exit code, with whatever went wrong said in one line."""
    for stream in (sys.stdout, sys.stderr):
        # A name that the terminal's encoding cannot show is no reason to fail.
        stream.reconfigure(errors="backslashreplace")  # type: ignore[union-attr]
    try:
        code = command() or 0
        sys.stdout.flush()
    except KeyboardInterrupt:
        return INTERRUPTED
    except BrokenPipeError:
        return _closed_pipe()
    except SystemExit as leaving:
        if isinstance(leaving.__context__, BrokenPipeError):
            return _closed_pipe()
        raise
    except typer.TyperException as error:
        return _say(_with_hint(error.format_message()), USAGE)
    except Exception as error:
        return _failed(error)
    return code


def _failed(error: Exception) -> int:
    from storage.errors import StoreError, TransferError

    if isinstance(error, StoreError):
        return _say(str(error), STORE_TROUBLE)
    if isinstance(error, Refused | TransferError):
        return _say(str(error), USAGE)
    kept = _keep_trace()
    return _say(
        f"a fault in Mainrun ({type(error).__name__}: {str(error)[:200]}); the store is as it "
        f"was, please report this{kept}",
        FAULT,
    )


def _with_hint(message: str) -> str:
    if message.startswith("No such option") and any(
        option in message for option in ("--store", "--group", "--no-mouse")
    ):
        return f"{message}: it goes before the command"
    return message


def _say(message: str, code: int) -> int:
    """Print one line on standard error, free of anything that a terminal would act on."""
    from domain.build import visible

    print(visible(f"mainrun: {' '.join(message.split())}"), file=sys.stderr)
    return code


def _keep_trace() -> str:
    """Write the trace to the user's log folder, for a report; where it stands, if it could be."""
    import traceback

    import platformdirs

    path = platformdirs.user_log_path("mainrun", appauthor=False) / "last-fault.txt"
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(traceback.format_exc(), encoding="utf-8", errors="replace")
    except OSError:
        return ""
    return f" with {path}"


def _closed_pipe() -> int:
    """Whoever read our output has gone: stop quietly, also at the flush on the way out."""
    os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
    return CLOSED_PIPE
