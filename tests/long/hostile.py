"""Attack a service behind the shipped nginx, and see what it is to everybody else.

    python tests/long/hostile.py [--seconds 8] [--attack NAME ...]

Two replicas with keys, behind nginx with deploy/nginx.conf. For each attack a caller with a key of his own floods them
for a while, from a process of his own, while an honest caller with another key asks a mix of calculations at a steady
pace, and a health check asks each replica. Prints a line for each attack: times of the honest caller (p50, p99), of
the health check (p99), the peak memory of a replica with its processes, processor time of service and of attacker, and
who was refused. Ends with 1 if an honest caller was refused or waited 10 times as long as on a quiet day (p99), if a
health check took 50 ms (p99), or if a replica took 400 MB. Attacker, callers, nginx and replicas share the machine.
"""

import argparse
import asyncio
import contextlib
import itertools
import json
import multiprocessing
import os
import shutil
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import Any, NamedTuple

import msgspec
import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tests.faults.processes import proxy, running, until

from drawbar_service.api.calculations import CALCULATIONS, SHOWN
from drawbar_service.batch import arrow_out
from drawbar_service.batch.arrow_out import Kind

BY_NAME = {one.name: one for one in (*CALCULATIONS, *SHOWN)}
JSON, ARROW, PNG = "application/json", "application/vnd.apache.arrow.stream", "image/png"
MOST_MEMORY, MOST_HEALTH, MOST_SLOWER = 400.0, 0.050, 10.0
FIELDS = 38
PACE = 20.0
"""Requests of the honest caller in a second."""
MIX = ("draft", "match", "fuel", "slip", "field-capacity", "completion", "ballast")
KEY_FILE = "keys.toml"
HEADS = (
    "attack",
    "others' p50 [ms]",
    "p99 [ms]",
    "/livez p99 [ms]",
    "peak [MB]",
    "service [processors]",
    "attacker [processors]",
    "answers to the attacker",
    "others refused",
)


class Attack(NamedTuple):
    """What an attacker sends, over and over."""

    connections: int
    texts: Sequence[bytes]
    """Whole requests, in turn."""
    leaves: bool = False
    """Whether he leaves before the answer."""
    half: bool = False
    """Whether he never sends the last byte."""


def request(path: str, body: bytes, key: str, media: str = JSON, accept: str = JSON) -> bytes:
    head = (
        f"POST {path} HTTP/1.1\r\nHost: farm.test\r\nAuthorization: Bearer {key}\r\nContent-Type: {media}\r\n"
        f"Accept: {accept}\r\nContent-Length: {len(body)}\r\n\r\n"
    )
    return head.encode() + body


def example(name: str, key: str, accept: str = JSON, **changed: Any) -> bytes:
    body = msgspec.json.encode({**BY_NAME[name].example, **changed})
    return request(BY_NAME[name].path, body, key, accept=accept)


def systems() -> dict[str, Any]:
    """Eight systems of eight passes, each a whole match."""
    one = BY_NAME["system"].example["systems"][0]
    passes = [{**one["passes"][0], "name": f"pass {at}"} for at in range(8)]
    return {"systems": [{**one, "name": f"system {at}", "passes": passes} for at in range(8)], "baseline": "system 0"}


def season() -> dict[str, Any]:
    """Many fields, each worked twice."""
    known = BY_NAME["season"].example
    names = [f"field {at}" for at in range(FIELDS)]
    fields = [{**known["fields"][at % len(known["fields"])], "name": name} for at, name in enumerate(names)]
    return {"fields": fields, "work": [{**one, "fields": names} for one in known["work"]]}


def grid(calculation: str, count: int, **changed: Any) -> bytes:
    speeds = {"unit": "km/h", "first": 5, "last": 9, "count": count}
    masses = {"unit": "t", "first": 8, "last": 12, "count": count}
    scenario = {**BY_NAME[calculation].example, **changed}
    return json.dumps(
        {"scenario": scenario, "mode": "grid", "vary": {"/speed": speeds, "/tractor/mass": masses}}
    ).encode()


def bomb() -> bytes:
    """A small Arrow stream with a dictionary that says to be large."""
    kind = Kind("/practice", "coded", {}, dictionary=7)
    repeated = arrow_out.dictionary(7, ["field-cultivator"] * 20_000)
    return b"".join([arrow_out.schema([kind], {}), *itertools.chain.from_iterable([repeated] * 200), arrow_out.END])


ATTACKS: dict[str, Callable[[str], Attack]] = {
    "drafts": lambda key: Attack(64, [example("draft", key)]),
    "matches": lambda key: Attack(64, [example("match", key)]),
    "faults": lambda key: Attack(64, [request("/v1/match", b'{"tractr": {}, "speed": "8 kmph"}' + b" " * 7_000, key)]),
    "sensitivity": lambda key: Attack(32, [example("sensitivity", key, odds={"samples": 16384})]),
    "systems": lambda key: Attack(16, [example("system", key, **systems())]),
    "seasons": lambda key: Attack(16, [example("season", key, **season())]),
    "seasons, leaving": lambda key: Attack(16, [example("season", key, **season())], leaves=True),
    "pictures": lambda key: Attack(16, [example("fit-map", key, accept=PNG)]),
    "half-sent bodies": lambda key: Attack(64, [example("draft", key)], half=True),
    "large batches": lambda key: Attack(8, [request("/v1/batch/match", grid("match", 700), key, accept=ARROW)]),
    "batches over budget": lambda key: Attack(
        16, [request("/v1/batch/sensitivity", grid("sensitivity", 1000, odds={"samples": 16384}), key, accept=ARROW)]
    ),
    "large dictionaries": lambda key: Attack(8, [request("/v1/batch/field-capacity", bomb(), key, ARROW, ARROW)]),
    "a wrong key": lambda key: Attack(64, [example("draft", f"{key[:-4]}none")]),
}


async def answered(reader: asyncio.StreamReader) -> str:
    """Return the status of an answer, taken whole."""
    head = (await reader.readuntil(b"\r\n\r\n")).lower()
    status = head[9:12].decode()
    if b"content-length: " in head:
        await reader.readexactly(int(head.partition(b"content-length: ")[2].partition(b"\r\n")[0]))
        return status
    while size := int(await reader.readline(), 16):
        await reader.readexactly(size + 2)
    await reader.readline()
    return status


async def attack_on(port: int, attack: Attack, texts: Iterator[bytes], over: float, outcomes: Counter[str]) -> None:
    while time.monotonic() < over:
        writer = None
        try:
            reader, writer = await asyncio.open_connection("127.0.0.1", port, limit=1 << 24)
            while time.monotonic() < over:
                text = next(texts)
                writer.write(text[:-1] if attack.half else text)
                if attack.half:
                    await asyncio.sleep(over - time.monotonic())
                    break
                if attack.leaves:
                    await asyncio.sleep(0.3)
                    outcomes["left"] += 1
                    break
                async with asyncio.timeout(over - time.monotonic()):
                    outcomes[await answered(reader)] += 1
        except TimeoutError:
            outcomes["unanswered"] += 1
        except (OSError, asyncio.IncompleteReadError, ValueError) as fault:
            outcomes[type(fault).__name__] += 1
        finally:
            if writer is not None:
                writer.transport.abort()


def assault(port: int, name: str, key: str, seconds: float, tell: Any) -> None:
    """Attack, in a process; tell what came back, and the processor time it took."""
    attack, outcomes = ATTACKS[name](key), Counter[str]()

    async def main() -> None:
        over = time.monotonic() + seconds
        texts = itertools.cycle(attack.texts)
        await asyncio.gather(*(attack_on(port, attack, texts, over, outcomes) for _ in range(attack.connections)))

    asyncio.run(main())
    tell.send((dict(outcomes), time.process_time()))


async def ask(port: int, text: bytes) -> tuple[str, float]:
    begun = time.perf_counter()
    reader, writer = await asyncio.open_connection("127.0.0.1", port)
    try:
        writer.write(text)
        return await answered(reader), time.perf_counter() - begun
    finally:
        writer.transport.abort()


async def steadily(port: int, texts: Iterator[bytes], pace: float, over: float) -> list[tuple[str, float]]:
    """Ask so many times a second, whatever the answers do."""
    asking: list[asyncio.Task[tuple[str, float]]] = []
    due = time.monotonic()
    while due < over:
        await asyncio.sleep(max(due - time.monotonic(), 0.0))
        asking.append(asyncio.create_task(ask(port, next(texts))))
        due += 1.0 / pace
    return await asyncio.gather(*asking)


def family(pid: int) -> list[int]:
    """Return a process and all that it started."""
    found = [pid]
    with contextlib.suppress(FileNotFoundError):
        for task in Path(f"/proc/{pid}/task").iterdir():
            for child in (task / "children").read_text("ascii").split():
                found += family(int(child))
    return found


def memory(pid: int) -> float:
    """Return the memory of a process and all that it started, what they share counted once [MB]."""
    total = 0
    for one in family(pid):
        with contextlib.suppress(OSError):
            text = Path(f"/proc/{one}/smaps_rollup").read_text("ascii")
            total += int(text.partition("\nPss:")[2].split()[0])
    return total / 1000.0


def processor(pid: int) -> float:
    """Return the processor time of a process and all that it started [s]."""
    total = 0.0
    for one in family(pid):
        with contextlib.suppress(OSError):
            fields = Path(f"/proc/{one}/stat").read_text("ascii").rpartition(")")[2].split()
            total += sum(map(int, fields[11:15])) / os.sysconf("SC_CLK_TCK")
    return total


class Seen(NamedTuple):
    """What one attack was to everybody else."""

    honest: list[tuple[str, float]]
    health: list[tuple[str, float]]
    peak: float
    service: float
    """Processor time of the replicas [s]."""
    attacker: float
    """His own [s]."""
    outcomes: dict[str, int]


async def watch(pids: Sequence[int], over: float) -> float:
    peak = 0.0
    while time.monotonic() < over:
        peak = max(peak, *(memory(pid) for pid in pids))
        await asyncio.sleep(0.2)
    return peak


def endure(
    port: int, replicas: Sequence[tuple[int, Any]], honest_key: str, attack: tuple[str, str] | None, seconds: float
) -> Seen:
    """Return what an attack of this name, with this key, was to everybody else."""
    pids = [process.pid for _, process in replicas]
    hear, tell = multiprocessing.Pipe(duplex=False)
    attacker = None
    if attack is not None:
        attacker = multiprocessing.get_context("spawn").Process(
            target=assault, args=(port, attack[0], attack[1], seconds + 1.0, tell)
        )
        attacker.start()
        time.sleep(2.0)  # until it has loaded

    async def main() -> tuple[list[tuple[str, float]], list[tuple[str, float]], float]:
        over = time.monotonic() + seconds
        mix = itertools.cycle([example(name, honest_key) for name in MIX])
        alive = itertools.cycle([b"GET /livez HTTP/1.1\r\nHost: farm.test\r\n\r\n"])
        honest, *health, peak = await asyncio.gather(
            steadily(port, mix, PACE, over),
            *(steadily(replica, alive, 10.0, over) for replica, _ in replicas),
            watch(pids, over),
        )
        return honest, [one for each in health for one in each], peak

    before = sum(map(processor, pids))
    honest, health, peak = asyncio.run(main())
    service = sum(map(processor, pids)) - before
    outcomes: dict[str, int] = {}
    spent = 0.0
    if attacker is not None:
        until(lambda: hear.poll() or not attacker.is_alive(), "the end of the attack")
        outcomes, spent = hear.recv()
        attacker.join()
    return Seen(honest, health, peak, service, spent, outcomes)


def percentile(seen: list[tuple[str, float]], share: float) -> float:
    return float(np.percentile([seconds for _, seconds in seen], share))


def refused(seen: list[tuple[str, float]]) -> dict[str, int]:
    return dict(Counter(status for status, _ in seen if status != "200"))


def make_keys(folder: str) -> dict[str, str]:
    """Write a file of keys; return them by caller."""
    from drawbar_service.security.keys import digest_of

    keys = {name: f"dbk_{name}_{os.urandom(24).hex()}" for name in ("honest", "attacker")}
    Path(folder, KEY_FILE).write_text(
        "\n".join(
            f'[[key]]\nid = "{name}"\nblake2b = "{digest_of(key)}"\nscopes = ["single", "batch"]'
            for name, key in keys.items()
        ),
        "utf-8",
    )
    return keys


def line(name: str, seen: Seen, quiet: float, seconds: float) -> tuple[str, list[str]]:
    """Return a line of the table, and what is not as it should be."""
    slow, health = percentile(seen.honest, 99.0), percentile(seen.health, 99.0)
    wrong: list[str] = []
    if refused(seen.honest):
        wrong.append(f"{name}: the honest caller got {refused(seen.honest)}")
    if slow > MOST_SLOWER * quiet:
        wrong.append(f"{name}: the honest caller's p99 is {slow / quiet:.1f} times that of a quiet day")
    if health > MOST_HEALTH:
        wrong.append(f"{name}: /livez p99 {1e3 * health:.0f} ms")
    if seen.peak > MOST_MEMORY:
        wrong.append(f"{name}: a replica took {seen.peak:.0f} MB")
    texts = (
        name,
        f"{1e3 * percentile(seen.honest, 50.0):.1f}",
        f"{1e3 * slow:.1f}",
        f"{1e3 * health:.1f}",
        f"{seen.peak:.0f}",
        f"{seen.service / seconds:.2f}",
        f"{seen.attacker / seconds:.2f}",
        " ".join(f"{count} x {outcome}" for outcome, count in sorted(seen.outcomes.items())) or "-",
        str(refused(seen.honest) or "none"),
    )
    return "| " + " | ".join(texts) + " |", wrong


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--seconds", type=float, default=8.0, help="of each attack")
    parser.add_argument("--attack", nargs="+", choices=ATTACKS, default=list(ATTACKS), help="some of them only")
    asked = parser.parse_args()
    program = shutil.which("nginx") or "/usr/sbin/nginx"
    wrong: list[str] = []
    with tempfile.TemporaryDirectory() as folder, contextlib.ExitStack() as stack:
        keys = make_keys(folder)
        settings = {"api_keys": str(Path(folder, KEY_FILE)), "processes": "1", "log_level": "error"}
        replicas = [stack.enter_context(running(**settings)) for _ in range(2)]
        port = stack.enter_context(proxy(program, [replica for replica, _ in replicas]))
        endure(port, replicas, keys["honest"], None, 2.0)  # whatever is made on first use
        quiet = endure(port, replicas, keys["honest"], None, asked.seconds)
        print(
            "| attack | others' p50 [ms] | p99 [ms] | /livez p99 [ms] | peak [MB] | service [processors] | attacker | ",
            end="",
        )
        print("answers to the attacker | honest refused |\n|---|---|---|---|---|---|---|---|---|")
        usual = percentile(quiet.honest, 99.0)
        print(line("none", quiet, usual, asked.seconds)[0], flush=True)
        for name in asked.attack:
            seen = endure(port, replicas, keys["honest"], (name, keys["attacker"]), asked.seconds)
            text, found = line(name, seen, usual, asked.seconds)
            print(text, flush=True)
            wrong += found
            time.sleep(1.0)
            before = sum(processor(process.pid) for _, process in replicas)
            time.sleep(1.0)
            left = sum(processor(process.pid) for _, process in replicas) - before
            if left > 0.2:
                wrong.append(f"{name}: {left:.2f} s of a processor in the second after the attacker had gone")
    print("\n".join(wrong) or "\nNobody was hurt.")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
