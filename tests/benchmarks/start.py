"""From starting the process to its first answer, and how big it is: `python tests/benchmarks/start.py [rounds]`.

Ready is when `/readyz` answers 200. Warm is when what no first caller should wait for has been made, beside the answers
to others.
"""

import statistics
import subprocess
import sys
import time
from functools import partial
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tests.faults.processes import free_port, start, until, wait_for


def resident(process: "subprocess.Popen[str]", kind: str = "VmRSS") -> float:
    """Size of a process [MiB]."""
    lines = Path(f"/proc/{process.pid}/status").read_text("ascii").splitlines()
    return next(int(line.split()[1]) for line in lines if line.startswith(kind)) / 1024


def at_rest(process: "subprocess.Popen[str]") -> bool:
    """Whether the process takes next to no time of a processor during a second."""

    def ticks() -> int:
        return sum(map(int, Path(f"/proc/{process.pid}/stat").read_text("ascii").rpartition(")")[2].split()[11:13]))

    before = ticks()
    time.sleep(1.0)
    return ticks() - before <= 3


def main(rounds: int) -> None:
    ready: list[float] = []
    for number in range(rounds):
        port = free_port()
        began = time.perf_counter()
        process = start(port=str(port))
        try:
            wait_for(port, process)
            ready.append(time.perf_counter() - began)
            at_first = resident(process)
            until(partial(at_rest, process), "all is made that is made once", 60.0)
            print(
                f"{number + 1}: ready after {ready[-1]:.2f} s with {at_first:.0f} MiB; warm with "
                f"{resident(process):.0f} MiB, of which {resident(process, 'RssAnon'):.0f} its own"
            )
        finally:
            process.kill()
            process.communicate()
    print(f"ready after {statistics.median(ready):.2f} s (median of {rounds})")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 5)
