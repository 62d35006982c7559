"""What the running program does without: what it never uses is not in its memory."""

import subprocess
import sys
from pathlib import Path

from domain.build.actions import add, applied
from domain.build.start import start_build
from storage.store.builds import Store
from tests.tui.driving import stored
from tests.tui.terminal import Terminal

NAMING_MODULES = """
import sys
from pathlib import Path
from tui.start import main
try:
    main()
finally:
    Path({file!r}).write_text(" ".join(sys.modules))
"""
"""The program, which tells in the end what it has loaded."""

WITHOUT_TLS = """
import sys
from tui.loading import load_asyncio
load_asyncio()
import asyncio
print("ssl" in sys.modules, "_ssl" in sys.modules)
import ssl
print(ssl.OPENSSL_VERSION)
"""


def test_a_session_with_an_edit_needs_no_openssl(tmp_path: Path) -> None:
    path, loaded = tmp_path / "store.db", tmp_path / "loaded"
    build = start_build()
    key = stored(path, applied(build, add(build, "amplifiers", name="Front")))
    program = ("-c", NAMING_MODULES.format(file=str(loaded)))
    with Terminal(path, "open", str(key), program=program) as terminal:
        terminal.until("worst drop")
        terminal.send(b"\x1bOQ")  # F2
        terminal.until(">Amplifiers")
        terminal.send(b"\x1b[C1x400\r")
        terminal.until("1x400")
        terminal.send(b"\x11")
        assert terminal.ended() == 0
    with Store(path) as store:
        assert store.open(key).document.amplifiers[0].channel_w == 400.0
    names = loaded.read_text().split()
    assert "asyncio" in names
    assert {"ssl", "_ssl", "_hashlib"}.isdisjoint(names)


def test_whoever_asks_for_tls_gets_it() -> None:
    ran = subprocess.run(
        [sys.executable, "-c", WITHOUT_TLS], capture_output=True, text=True, check=True, timeout=60
    )
    before, after = ran.stdout.splitlines()
    assert before == "False False"
    assert after.startswith("OpenSSL") or after.startswith("LibreSSL")
