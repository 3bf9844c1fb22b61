"""How time and memory grow with the rows of a file: measures, and writes GROWTH.md.

python tests/benchmarks/growth.py [--most 8] [--folder FOLDER]
"""

import argparse
import os
import platform
import subprocess
import sys
import tempfile
import time
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import msgspec
import numpy as np
import pyarrow as pa
import pyarrow.parquet as pq

PAGE = Path(__file__).parent / "GROWTH.md"
RATIOS = "## Ratios"
"""Heading of the part that is kept as it stands."""
GROUP = 1_048_576
COLUMNS = ["/verdict/fits", "/at_work/pto_power", "/fuel/per_area"]
SCHEMA = pa.schema(
    [
        pa.field("/speed", pa.float64(), metadata={"unit": "km/h"}),
        pa.field("/implement/draft_multiplier", pa.float64()),
    ]
)


def write_rows(path: Path, rows: int) -> None:
    """Write speeds and draft multipliers, a row group at a time."""
    random = np.random.default_rng(11)
    with pq.ParquetWriter(path, SCHEMA) as writer:
        for start in range(0, rows, GROUP):
            count = min(GROUP, rows - start)
            columns = [random.uniform(3.0, 14.0, count), random.uniform(0.5, 2.0, count)]
            writer.write_table(pa.Table.from_arrays([pa.array(column) for column in columns], schema=SCHEMA))


def memory(key: str) -> float:
    """A figure of this process's memory [MB]."""
    line = next(line for line in Path("/proc/self/status").read_text("ascii").splitlines() if line.startswith(key))
    return int(line.split()[1]) / 1024


def measure(path: str, folder: str) -> dict[str, Any]:
    """Match every row of a file in this process."""
    from drawbar import files
    from drawbar_service.api.v1.match import MATCH

    job = files.prepare(path, "match", folder, scenario=MATCH.example, columns=COLUMNS)
    start, processor = memory("VmRSS"), time.process_time()
    done = files.run(job)
    assert done.rows == job.rows
    assert not done.faulty
    return {
        "rows": done.rows,
        "parts": done.parts,
        "seconds": done.seconds,
        "processor": time.process_time() - processor,
        "start": start,
        "peak": memory("VmHWM"),
    }


def measured(rows: int, folder: Path) -> dict[str, Any]:
    """Have a process of its own match rows, so that its memory is its own."""
    with tempfile.TemporaryDirectory(dir=folder) as place:
        file = Path(place) / "rows.parquet"
        write_rows(file, rows)
        command = (sys.executable, __file__, "--measure", str(file), str(Path(place) / "out"))
        run = subprocess.run(command, capture_output=True, check=True)
        return msgspec.json.decode(run.stdout) | {"bytes": file.stat().st_size}


def page(found: list[dict[str, Any]]) -> str:
    """Write the page."""
    ram = os.sysconf("SC_PAGE_SIZE") * os.sysconf("SC_PHYS_PAGES") / 2**30
    busy = os.getloadavg()[2]
    lines = [
        "# Growth",
        "",
        "How `drawbar batch` grows with the rows of a Parquet file. Made by `python tests/benchmarks/growth.py`; not "
        "edited by hand above the heading Ratios.",
        "",
        f"- What: a match at a given speed for each row, two columns in (speed, draft multiplier), "
        f"{len(COLUMNS)} out ({', '.join(COLUMNS)}),",
        "  service in process, one worker, parts of 131072 rows as Parquet.",
        f"- Machine: {os.cpu_count()} cores, {platform.machine()}, {ram:.0f} GB, {platform.system()}; Python "
        f"{platform.python_version()}, NumPy {np.__version__}, pyarrow {pa.__version__}; {datetime.now(UTC):%Y-%m-%d}.",
        f"  Other work was on it: load {busy:.1f} over the last quarter of an hour, so time on the clock is an upper "
        "bound."
        if busy > 1.5
        else f"  Load over the last quarter of an hour: {busy:.1f}.",
        "- Time is from the first part to the last, without start and without the first look at the file. Memory is "
        "resident: at the",
        "  start, once the service runs and the first rows are answered, and at its peak (VmHWM). Each size has a "
        "process of its own.",
        "",
        "| rows | file [MB] | parts | time [s] | processor [s] | rows/s | rows per processor second | at start [MB] "
        "| peak over start [MB] |",
        "|---:|---:|---:|---:|---:|---:|---:|---:|---:|",
    ]
    lines += [
        f"| {one['rows']:.0e} | {one['bytes'] / 1e6:.2f} | {one['parts']} | {one['seconds']:.2f} | "
        f"{one['processor']:.2f} | {one['rows'] / one['seconds']:,.0f} | {one['rows'] / one['processor']:,.0f} | "
        f"{one['start']:.0f} | {one['peak'] - one['start']:.0f} |"
        for one in found
    ]
    return "\n".join(lines) + "\n"


def kept() -> str:
    """Give what the page says of ratios; other benchmarks measure them."""
    _, heading, ratios = PAGE.read_text("utf-8").partition(RATIOS)
    return f"\n{heading}{ratios}" if heading else ""


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--most", type=int, default=7, help="largest power of ten of rows (default: 7)")
    parser.add_argument("--folder", type=Path, help="where files are made; 1e8 rows take 4 GB")
    parser.add_argument("--measure", nargs=2, help=argparse.SUPPRESS)
    options = parser.parse_args()
    if options.measure:
        print(msgspec.json.encode(measure(*options.measure)).decode())
        return
    found: list[dict[str, Any]] = []
    for power in range(3, options.most + 1):
        found.append(measured(10**power, options.folder))
        print(found[-1], file=sys.stderr, flush=True)
        PAGE.write_text(page(found) + kept(), "utf-8")


if __name__ == "__main__":
    main()
