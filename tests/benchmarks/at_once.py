"""Many sessions on one store, sessions and server killed, and thousands of builds: the long way.

    python -m tests.benchmarks.at_once sessions PLACE --sessions 50 --edits 200
    python -m tests.benchmarks.at_once bench PLACE --sessions 2 --edits 500 --same
    python -m tests.benchmarks.at_once kills FOLDER --kills 1000 [--file]
    python -m tests.benchmarks.at_once builds PLACE --builds 10000

``sessions`` writes through the store, ``bench`` through the workbench as the screens do, with all
that follows from an edit. ``kills`` starts a server of its own in a new folder, or takes a file
there. A place is a file that is not there yet, or a database or schema on a server with nothing in
it.
"""

import argparse
import json
import os
import random
import shutil
import signal
import statistics
import subprocess
import sys
import time
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from domain.build.edits import Edit, EditRefused
from domain.build.records import Build
from domain.build.start import start_build
from storage.store import write
from storage.store.builds import Store, StoreError
from storage.store.journal import replay
from storage.store.location import Place, place_of
from tests.storage import server
from tests.storage.store.builds import set_length
from tui.screens.builds import AHEAD
from tui.workbench import Workbench


def given(edit: Edit, _: Build) -> Edit:
    """An edit that is the same whatever is there."""
    return edit


def session(place: Place, key: int, edits: int, number: int, same: bool, bench: bool) -> None:
    """One session: its edits as fast as they go; prints how many were refused, and times [s]."""
    refused, times = 0, []
    run = "r1" if same else f"r{1 + number % 4}"
    with Store(place, person=f"person {number}") as store:
        opened = store.open(key)
        work = Workbench(store, key, opened.document, opened.revision)
        print("ready", flush=True)
        sys.stdin.readline()
        for turn in range(edits):
            edit = set_length(run, 0.5 + (number * edits + turn) % 900 / 100)
            start = time.perf_counter()
            try:
                if bench:
                    work.do(edit)
                else:
                    store.build(key).change(partial(given, edit))
            except (EditRefused, StoreError) as error:
                refused += 1
                print(f"refused: {error}", file=sys.stderr)
            times.append(time.perf_counter() - start)
        print(refused, statistics.median(times), max(times), flush=True)
        sys.stdin.readline()  # all have ended: what one sees now is what there is
        if bench:
            work.catch_up()
        last = work.document if bench else store.open(key).document
        print(json.dumps(last.plain()), flush=True)


@dataclass(frozen=True)
class Outcome:
    """What became of the edits of many sessions."""

    refused: int
    revision: int
    lines: int
    as_journal: bool
    """Whether the rows are what the journal tells, by the replay and by the proof."""
    seen: bool
    """Whether what every session has in the end is what the store holds."""
    took_s: float
    median_s: float
    worst_s: float


def sessions(address: str, many: int, edits: int, same: bool, bench: bool) -> Outcome:
    """Many sessions at once on one build, each a process of its own."""
    place = place_of(address)
    with Store(place) as store:
        key = store.create(start_build("Together"))
    command = [sys.executable, "-m", "tests.benchmarks.at_once", "session", address, str(key)]
    running = [
        subprocess.Popen(
            [*command, "--edits", str(edits), "--number", str(number)]
            + ["--same"] * same
            + ["--bench"] * bench,
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
        )
        for number in range(many)
    ]
    for each in running:
        _hear(each)  # it is ready
    start = time.perf_counter()
    for each in running:
        _say(each)
    said = [_hear(each).split() for each in running]
    took = time.perf_counter() - start
    for each in running:
        _say(each)
    seen = {_hear(each) for each in running}
    for each in running:
        each.communicate()
    with Store(place) as store:
        opened, proof = store.open(key), store.prove()
        with store.reading() as reading:
            told = replay(reading, key)
        lines = len(store.build(key).since(0))
    return Outcome(
        refused=sum(int(each[0]) for each in said),
        revision=opened.revision,
        lines=lines,
        as_journal=told == opened.document and proof.wrong == (),
        seen=seen == {json.dumps(opened.document.plain())},
        took_s=took,
        median_s=statistics.median(float(each[1]) for each in said),
        worst_s=max(float(each[2]) for each in said),
    )


def _say(process: "subprocess.Popen[str]") -> None:
    assert process.stdin is not None
    process.stdin.write("\n")
    process.stdin.flush()


def _hear(process: "subprocess.Popen[str]") -> str:
    assert process.stdout is not None
    return process.stdout.readline().strip()


def kills(folder: Path, many: int, file: bool) -> None:
    """Sessions killed at random moments; on a server, that too every 25th time."""
    own = None if file else server.made(folder)
    if own:
        own.start()
    else:
        folder.mkdir()
    try:
        place = server.new_place(own) if own else place_of(str(folder / "builds.sqlite"))
        with Store(place) as store:
            key = store.create(start_build("Killed"))
        dice = random.Random(1)
        reported = lost = unreported = servers = 0
        for number in range(many):
            reader, writer = os.pipe()
            before = _revision(place, key)
            child = os.fork()
            if child == 0:
                os.close(reader)
                _commit_for_ever(place, key, writer)
            os.close(writer)
            said = os.fdopen(reader)
            last = int(said.readline() or before)
            time.sleep(dice.uniform(0, 0.06))
            if own and number % 25 == 24:
                own.stop("immediate")
                servers += 1
                own.start()
            os.kill(child, signal.SIGKILL)
            rest = said.read().split()
            last = int(rest[-1]) if rest else last
            os.waitpid(child, 0)
            revision = _revision(place, key)
            reported += last - before
            lost += max(0, last - revision)
            unreported += max(0, revision - last)
        with Store(place) as store:
            proof = store.prove()
        print(
            f"{many} kills of sessions, {servers} of the server: {reported} edits reported, "
            f"{unreported} more were saved unreported, lost {lost}, "
            f"proof {proof.wrong or 'clean'} over {proof.lines} lines"
        )
    finally:
        if own:
            own.stop()
        shutil.rmtree(folder)


def _commit_for_ever(place: Place, key: int, writer: int) -> None:
    try:
        with Store(place) as store:
            for turn in range(10**6):
                made = store.build(key).change(partial(given, set_length("r1", 1 + turn % 90)))
                os.write(writer, f"{made.revision}\n".encode())
    finally:
        os._exit(1)


def _revision(place: Place, key: int) -> int:
    with Store(place) as store:
        return store.build(key).revision()


FIRST_SHOWN = 40 + AHEAD + 1
"""So many builds does the list read first on a terminal of 40 lines."""


def builds(address: str, many: int) -> None:
    """List and open with three builds, and with many."""
    place = place_of(address)
    with Store(place) as store:
        keys = [store.create(start_build(f"Build {number}")) for number in range(3)]

        def timed() -> tuple[float, float]:
            found = []
            for what in (lambda: store.builds(limit=FIRST_SHOWN), lambda: store.open(keys[1])):
                times = []
                for _ in range(25):
                    start = time.perf_counter()
                    what()
                    times.append(time.perf_counter() - start)
                found.append(statistics.median(times))
            return found[0], found[1]

        few = timed()
        for first in range(3, many, 500):
            with store.writing() as writing:
                for number in range(first, min(first + 500, many)):
                    write.insert_build(writing, start_build(f"Build {number}"), 0, store.author)
        lot = timed()
    for what, one, other in zip(("list", "open"), few, lot, strict=True):
        print(
            f"{what}: 3 builds {one * 1e3:.2f} ms, {many} {other * 1e3:.2f} ms, {other / one:.2f} x"
        )


def main() -> None:
    """What the command line asks for."""
    asked = argparse.ArgumentParser(description=__doc__)
    asked.add_argument("what", choices=["sessions", "bench", "kills", "builds", "session"])
    asked.add_argument("place")
    asked.add_argument("key", nargs="?", type=int)
    for name, usual in (("sessions", 2), ("edits", 500), ("kills", 1000), ("builds", 10000)):
        asked.add_argument(f"--{name}", type=int, default=usual)
    asked.add_argument("--number", type=int, default=0)
    asked.add_argument("--same", action="store_true", help="all on one field")
    asked.add_argument("--bench", action="store_true")
    asked.add_argument("--file", action="store_true", help="kills of sessions on a file")
    told = asked.parse_args()
    if told.what == "session":
        place = place_of(told.place)
        session(place, told.key, told.edits, told.number, told.same, told.bench)
    elif told.what == "kills":
        kills(Path(told.place), told.kills, told.file)
    elif told.what == "builds":
        builds(told.place, told.builds)
    else:
        through_bench = told.what == "bench"
        print(sessions(told.place, told.sessions, told.edits, told.same, through_bench))


if __name__ == "__main__":
    main()
