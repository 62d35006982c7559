"""CPU time up to each frame of a start, over that of a bare hello just before it.

    python -m tests.benchmarks.first_frames [CHECKOUT ...]

Another checkout is measured beside this one in the same run. The process tells its own time at
each frame that it sends, so that who reads it may be late. Printed are the medians: the time, its
ratio to the hello's, and the bytes of the frame.
"""

import sys
import tempfile
import time
from ast import literal_eval
from pathlib import Path
from statistics import median

from storage.store.builds import Store
from tests.benchmarks.builds import sixty_four, three, twelve
from tests.benchmarks.terminal import ROOT, Terminal

PROBE = """
import os, threading, time
from textual.drivers.linux_driver import LinuxDriver
sent, write = [], LinuxDriver.write
def told(self, data):
    if len(data) > 200:
        sent.append((time.process_time(), len(data)))
    return write(self, data)
LinuxDriver.write = told
def end():
    open(os.environ["FRAMES"], "w").write(repr(sent))
    os._exit(0)
timer = threading.Timer({seconds}, end)
timer.daemon = True
timer.start()
"""
HELLO = "import runpy; runpy.run_path('tests/benchmarks/hello_app.py', run_name='__main__')"
OURS = "from tui.start import main; main()"
SECONDS, HELLO_SECONDS = 4.0, 1.5
"""For how long a program is watched."""

ROUNDS = 5

Frames = list[tuple[float, int]]
"""CPU time [s] and bytes of each."""


def frames(checkout: Path, code: str, arguments: list[str], seconds: float, note: Path) -> Frames:
    """What a program sends after its start."""
    note.unlink(missing_ok=True)
    probe = PROBE.format(seconds=seconds)
    command = [sys.executable, "-P", "-c", f"{probe}\n{code}", *arguments]
    environment = {"PYTHONPATH": str(checkout), "FRAMES": str(note)}
    with Terminal(command, environment=environment, rows=30) as terminal:
        deadline = time.monotonic() + 5 * seconds
        while terminal.process.poll() is None and time.monotonic() < deadline:
            terminal.settle(0.2)
    found: Frames = literal_eval(note.read_text())
    return found


def main() -> None:
    """Measure."""
    checkouts = [ROOT, *(Path(each).resolve() for each in sys.argv[1:])]
    builds = {"3": three(), "12": twelve(), "64": sixty_four()}
    with tempfile.TemporaryDirectory() as folder:
        note, place = Path(folder) / "frames", Path(folder) / "builds.sqlite"
        with Store(place) as store:
            keys = {name: str(store.create(build)) for name, build in builds.items()}
        cases = {"list": [], **{name: ["open", key] for name, key in keys.items()}}
        taken: dict[tuple[str, Path, int], list[tuple[float, float, int]]] = {}
        for _ in range(ROUNDS + 1):
            hello = frames(ROOT, HELLO, [], HELLO_SECONDS, note)[0][0]
            for name, words in cases.items():
                for checkout in checkouts:
                    line = ["--store", str(place), *words]
                    for nth, (cpu_s, size) in enumerate(
                        frames(checkout, OURS, line, SECONDS, note)
                    ):
                        row = (cpu_s, cpu_s / hello, size)
                        taken.setdefault((name, checkout, nth), []).append(row)
    for (name, checkout, nth), all_rows in sorted(taken.items()):
        rows = all_rows[1:]  # the first filled the caches of files and compiled code
        if len(rows) < ROUNDS / 2:
            continue
        cpu, ratio, size = (median(column) for column in zip(*rows, strict=True))
        where = "here" if checkout == ROOT else checkout.name
        print(
            f"{name:>4} {where:8} frame {nth}: {cpu * 1e3:4.0f} ms, {ratio:.2f}, {size:.0f} bytes"
        )


if __name__ == "__main__":
    main()
