"""How a command ends: one line on standard error, an exit code, and never a traceback."""

import contextlib
import os
import sys
from collections.abc import Callable

STOPS_FOUND = 1
USAGE = 2
STORE_TROUBLE = 3
FAULT = 70
INTERRUPTED = 130
HUNG_UP = 129
CLOSED_PIPE = 141
"""Exit codes; the last four as sysexits.h and the shells have them."""


class Refused(Exception):
    """Something the user asked for that cannot be done; the message is one plain line."""


def outcome(command: Callable[[], int | None]) -> int:
    """Run a command and give its exit code, with whatever went wrong said in one line."""
    _prepare_streams()
    try:
        code = command() or 0
        if code == HUNG_UP:
            _drop_output("stdout", "stderr")
        sys.stdout.flush()
    except KeyboardInterrupt:
        return INTERRUPTED
    except BrokenPipeError:
        return _closed_pipe()
    except SystemExit as leaving:
        if isinstance(leaving.__context__, BrokenPipeError):
            return _closed_pipe()
        raise
    except Exception as error:
        return _failed(error)
    return code


def _prepare_streams() -> None:
    """A closed stream takes what is written to it, and no name fails on a poor encoding."""
    for name in ("stdout", "stderr"):
        if getattr(sys, name) is None:
            setattr(sys, name, open(os.devnull, "w", encoding="utf-8"))  # noqa: SIM115
        reconfigure = getattr(getattr(sys, name), "reconfigure", None)
        if reconfigure is not None:  # a stream of another program's making need not have it
            reconfigure(errors="backslashreplace")


def _failed(error: Exception) -> int:
    from storage.errors import StoreError, TransferError

    if isinstance(error, StoreError):
        return _say(str(error), STORE_TROUBLE)
    if isinstance(error, Refused | TransferError):
        return _say(str(error), USAGE)
    if isinstance(error, OSError):
        _drop_output()
        place = f"{error.filename}: " if error.filename else ""
        return _say(
            f"{place}{error.strerror or error}: check the disk and try again", STORE_TROUBLE
        )
    import typer

    if isinstance(error, typer.TyperException):
        return _say(_with_hint(error.format_message()), USAGE)
    kept = _keep_trace()
    typed = "".join(f"; {note}" for note in getattr(error, "__notes__", ()))
    return _say(
        f"a fault in Mainrun ({type(error).__name__}: {str(error)[:200]}); what was saved is "
        f"safe, please report this{kept}{typed}",
        FAULT,
    )


def _with_hint(message: str) -> str:
    """What the library says of a command line, without the word for what it has come upon."""
    message = message.replace(": Value error, ", ": ")
    if message.startswith("No such option") and any(
        option in message for option in ("--store", "--group", "--no-mouse")
    ):
        return f"{message}: it goes before the command"
    return message


def _say(message: str, code: int) -> int:
    """Print one line on standard error, free of anything that a terminal would act on."""
    from domain.visible_text import visible

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
    """Whoever read our output has gone: stop quietly."""
    _drop_output()
    return CLOSED_PIPE


def _drop_output(*names: str) -> None:
    """Let go of output that cannot be written, so that the flush on the way out is quiet too."""
    for name in names or ("stdout",):
        with contextlib.suppress(OSError, ValueError):
            os.dup2(os.open(os.devnull, os.O_WRONLY), getattr(sys, name).fileno())
