"""Who makes the edits of a session: a name set once, else that of the login."""

import getpass
import os
from pathlib import Path

from msgspec import Struct, field

from domain.visible_text import visible
from storage.errors import StoreError

PERSON_VARIABLE = "MAINRUN_PERSON"
LONGEST = 60
"""A name is cut to this many characters."""
UNKNOWN = "unknown"
"""What a person is called of whom nothing is known."""


class Author(Struct, frozen=True):
    """A person at work in one session; two sessions of one person are told apart."""

    person: str
    session: str = field(default_factory=lambda: os.urandom(8).hex())


def this_person() -> str:
    """Who is at work: $MAINRUN_PERSON, else the name that was set, else the login."""
    return name_of(os.environ.get(PERSON_VARIABLE, "")) or _set_name() or name_of(_login())


def name_of(text: str) -> str:
    """A name as it is kept: one line of signs that can be seen."""
    return visible(" ".join(text.split())[:LONGEST]).strip()


def set_person(name: str) -> str:
    """Set the name of this login's person, once for all stores; as it is kept.

    An empty one: the login's again. ``StoreError`` where it cannot be kept.
    """
    path, kept = _name_file(), name_of(name)
    try:
        if kept:
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(kept + "\n", encoding="utf-8")
        else:
            path.unlink(missing_ok=True)
    except OSError as error:
        raise StoreError(
            f"the name cannot be kept in {path}: {error.strerror}; set {PERSON_VARIABLE} instead"
        ) from error
    return this_person()


def _set_name() -> str:
    try:
        with _name_file().open(encoding="utf-8", errors="replace") as file:
            return name_of(file.read(LONGEST * 4))
    except (OSError, RuntimeError):
        return ""


def _name_file() -> Path:
    from platformdirs import user_config_path

    return user_config_path("mainrun", appauthor=False) / "person"


def _login() -> str:
    """The name of the system's user; variables may say another only where it has none."""
    try:
        import pwd

        return pwd.getpwuid(os.getuid()).pw_name
    except (ImportError, KeyError, AttributeError):
        pass
    try:
        return getpass.getuser()
    except (KeyError, OSError, ImportError, AttributeError):
        return UNKNOWN
