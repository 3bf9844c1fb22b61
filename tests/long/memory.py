"""What a body takes of memory: the most over idle that any body within its size limit brings a service to.

    python tests/long/memory.py [--limit]

For every format and route, the largest or the most wasteful body that is read. Prints a line for each and ends with 1
if any takes more than 64 MB over what the process held before. With `--limit` the service may have 1 GB of addresses
in all (`ulimit -v`), and has to be there in the end whatever it is sent.
"""

import argparse
import http.client
import io
import json
import resource
import subprocess
import sys
import time
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import msgspec
import numpy as np
import pyarrow as pa

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tests.faults.processes import environment, free_port, wait_for

from drawbar_service.api.calculations import CALCULATIONS

KINDS = ["field-cultivator"]
MOST_OVER = 64.0
"""[MB]"""
JSON, MSGPACK, NDJSON = "application/json", "application/msgpack", "application/x-ndjson"
CSV, ARROW = "text/csv", "application/vnd.apache.arrow.stream"
BY_NAME = {one.name: one for one in CALCULATIONS}
MATCH = dict(BY_NAME["match"].example)


def bodies() -> Iterator[tuple[str, str, str, bytes, str]]:
    """Yield a name, a path, a media type, a body, and the media type of the answer."""
    yield "match, 64 kB of spaces", "/v1/match", JSON, json.dumps(MATCH).encode().ljust(65_000), JSON
    yield "match, deeply nested", "/v1/match", JSON, b"[" * 65_000, JSON
    yield "match, many members", "/v1/match", JSON, json.dumps({f"m{at}": 1 for at in range(5_000)}).encode(), JSON
    yield "match, MessagePack of lists", "/v1/match", MSGPACK, b"\xdd\x00\x00\xfd\x00" + b"\x90" * 64_768, JSON
    season = dict(BY_NAME["season"].example)
    yield "season", "/v1/season", JSON, json.dumps(season).encode(), JSON
    scenario = {**MATCH}
    spaced = {"unit": "km/h", "first": 5, "last": 9, "count": 1000}
    masses = {"unit": "t", "first": 8, "last": 12, "count": 1000}
    grid = {"scenario": scenario, "mode": "grid", "vary": {"/speed": spaced, "/tractor/mass": masses}}
    for accept in (JSON, MSGPACK, NDJSON, CSV, ARROW):
        yield f"a million rows as {accept}", "/v1/batch/match", JSON, json.dumps(grid).encode(), accept
    capacity = dict(BY_NAME["field-capacity"].example)
    count = 4_100_000 // 2
    text = b'{"scenario":%b,"vary":{"/speed":{"unit":"km/h","values":[%b]}}}' % (
        json.dumps(capacity).encode(),
        b",".join([b"7"] * count)[:4_000_000],
    )
    yield "JSON of digits", "/v1/batch/field-capacity", JSON, text.replace(b",]", b"]"), JSON
    packed = msgspec.msgpack.encode({"scenario": capacity, "vary": {"/speed": {"unit": "km/h", "values": []}}})
    values = b"\xdd" + (4_000_000).to_bytes(4, "big") + b"\x07" * 4_000_000
    yield "MessagePack of digits", "/v1/batch/field-capacity", MSGPACK, packed.replace(b"\x90", values, 1), JSON
    texts = json.dumps({"scenario": capacity, "vary": {"/practice": ["a"] * 800_000}}).encode()
    yield "JSON of texts", "/v1/batch/field-capacity", JSON, texts, JSON
    different = json.dumps({"scenario": capacity, "vary": {"/practice": [f"{at:x}" for at in range(500_000)]}}).encode()
    yield "JSON of different texts", "/v1/batch/field-capacity", JSON, different, JSON
    head = json.dumps({"scenario": capacity})
    yield (
        "CSV of short lines",
        "/v1/batch/field-capacity",
        CSV,
        f"#{head}\n/speed [km/h]\n".encode() + b"7\n" * 15_000_000,
        CSV,
    )
    yield (
        "CSV of different texts",
        "/v1/batch/field-capacity",
        CSV,
        f"#{head}\n/practice\n".encode() + b"".join(b"%x\n" % at for at in range(4_000_000)),
        CSV,
    )
    yield (
        "CSV of long lines",
        "/v1/batch/field-capacity",
        CSV,
        f"#{head}\n/practice\n".encode() + (b"x" * 900_000 + b"\n") * 60,
        CSV,
    )
    yield (
        "NDJSON of short lines",
        "/v1/batch/field-capacity",
        NDJSON,
        head.encode() + b"\n" + b'{"/speed":"7 km/h"}\n' * 1_500_000,
        NDJSON,
    )
    for name, table in tables():
        sink = pa.BufferOutputStream()
        with pa.ipc.new_stream(sink, table.schema.with_metadata({"drawbar": head.encode()})) as writer:
            writer.write_table(table)
        yield name, "/v1/batch/field-capacity", ARROW, sink.getvalue().to_pybytes(), ARROW


def tables() -> Iterator[tuple[str, Any]]:
    yield "Arrow, one batch of numbers", pa.table({"/speed [km/h]": np.full(4_000_000, 7.0)})
    yield "Arrow, one batch of texts", pa.table({"/practice": pa.array([f"{at:x}" for at in range(1_500_000)])})
    codes = pa.array(np.zeros(4_000_000, np.int8))
    yield (
        "Arrow, dictionary",
        pa.table({"/practice": pa.DictionaryArray.from_arrays(codes, pa.array(KINDS))}),
    )
    values = pa.array([f"{at:x}" for at in range(250_000)])
    coded = pa.DictionaryArray.from_arrays(pa.array(np.arange(250_000, dtype=np.int32)), values)
    yield "Arrow, large dictionary", pa.table({"/practice": coded})


def peak(pid: int) -> float:
    text = Path(f"/proc/{pid}/status").read_text("ascii")
    return int(text.partition("VmHWM:")[2].split()[0]) / 1000.0


def now(pid: int) -> float:
    text = Path(f"/proc/{pid}/status").read_text("ascii")
    return int(text.partition("VmRSS:")[2].split()[0]) / 1000.0


def ask(port: int, path: str, media: str, body: bytes, accept: str) -> str:
    link = http.client.HTTPConnection("127.0.0.1", port, timeout=60.0)
    try:
        link.request(
            "POST", path, io.BytesIO(body), {"Content-Type": media, "Accept": accept, "Content-Length": str(len(body))}
        )
        reply = link.getresponse()
        while reply.read(1 << 20):
            pass
        return str(reply.status)
    except (OSError, http.client.HTTPException) as fault:  # an answer that breaks off
        return type(fault).__name__
    finally:
        link.close()


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--limit", action="store_true", help="of 1 GB of addresses")
    asked = parser.parse_args()
    wrong: list[str] = []
    print("| body | size [MB] | status | over idle [MB] |\n|---|---|---|---|")
    for name, path, media, body, accept in bodies():
        port = free_port()
        limit = (lambda: resource.setrlimit(resource.RLIMIT_AS, (10**9, 10**9))) if asked.limit else None
        process = subprocess.Popen(
            [sys.executable, "-m", "drawbar_service"],
            env=environment(port=str(port), log_level="error"),
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
            text=True,
            preexec_fn=limit,
        )
        try:
            wait_for(port, process)
            time.sleep(1.5)
            small = {"scenario": dict(BY_NAME[path.rpartition("/")[2]].example), "vary": {"/speed": ["7 km/h"]}}
            ask(port, path, JSON, json.dumps(small).encode(), accept)  # whatever is made on first use
            idle = now(process.pid)
            Path(f"/proc/{process.pid}/clear_refs").write_text("5", "ascii")
            status = ask(port, path, media, body, accept)
            over = peak(process.pid) - idle
            print(f"| {name} | {len(body) / 1e6:.2f} | {status} | {over:.0f} |", flush=True)
            if over > MOST_OVER:
                wrong.append(f"{name}: {over:.0f} MB over idle")
            if process.poll() is not None:
                wrong.append(f"{name}: the service ended")
        finally:
            process.kill()
            process.communicate()
    print("\n".join(wrong))
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
