"""What an evaluation costs here over what it costs in another checkout, in one run.

    python -m tests.benchmarks.against PATH_OF_THE_OTHER [3,12,64]

Both work in short turns on the same builds, each with another length of its main run, with what
is loaded kept from the garbage collector as the program keeps it once it stands. CPU time is
counted, and each turn is compared with the other's next to it, so that whatever else the machine
does hits both alike. Printed are the medians of all turns and of the ratios of neighbours, with
and without what is worked out when it is looked at.
"""

import subprocess
import sys
from os import environ
from pathlib import Path
from statistics import median

WORKER = """
import gc, sys, time
from domain.evaluate import evaluate
from tests.benchmarks.builds import sixty_four, three, twelve, with_main_length

builds = {"3": three(), "12": twelve(), "64": sixty_four()}
evaluate(builds["3"])
gc.freeze()
length = 3.0
for line in sys.stdin:
    name, times = line.split()
    for _ in range(int(times)):
        length += 0.001
        build = with_main_length(builds[name], length)
        start = time.process_time()
        sheet = evaluate(build)
        at_key = time.process_time()
        sheet.designs, sheet.materials
        print(at_key - start, time.process_time() - start)
    print("done", flush=True)
"""

TURNS = 60
TIMES = {"3": 3, "12": 2, "64": 1}
"""Evaluations in a turn, by the number of amplifiers."""

Cost = tuple[float, float]
"""CPU time of an evaluation, and with all that is looked at [s]."""


class Worker:
    """A Python of one checkout that evaluates when it is told to."""

    def __init__(self, checkout: Path) -> None:
        self._process = subprocess.Popen(
            [sys.executable, "-c", WORKER],
            cwd=checkout,
            env=environ | {"PYTHONPATH": str(checkout)},
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
        )

    def costs(self, name: str, times: int) -> list[Cost]:
        """What so many evaluations cost."""
        told, said = self._process.stdin, self._process.stdout
        assert told
        assert said
        print(name, times, file=told, flush=True)
        found = []
        while (line := said.readline().strip()) != "done":
            at_key, in_all = line.split()
            found.append((float(at_key), float(in_all)))
        return found


def main(other: str, sizes: str = "3,12,64") -> None:
    """Print one line for each size and each way of counting."""
    ours, theirs = Worker(Path.cwd()), Worker(Path(other).resolve())
    for name in sizes.split(","):
        for worker in (ours, theirs):
            worker.costs(name, 3)
        here: list[Cost] = []
        there: list[Cost] = []
        for turn in range(TURNS):
            pairs = [(ours, here), (theirs, there)]
            for worker, costs in pairs if turn % 2 else reversed(pairs):
                costs.extend(worker.costs(name, TIMES[name]))
        for what, place in (("evaluate", 0), ("with all looked at", 1)):
            mine, others = [c[place] for c in here], [c[place] for c in there]
            beside = [mine_s / other_s for mine_s, other_s in zip(mine, others, strict=True)]
            print(
                f"{name:>3} amplifiers, {what:<18} {median(mine) * 1e3:8.2f} ms, "
                f"other {median(others) * 1e3:8.2f} ms, ratio {median(mine) / median(others):.2f}, "
                f"of neighbours {median(beside):.2f}"
            )


if __name__ == "__main__":
    main(*sys.argv[1:])
