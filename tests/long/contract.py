"""Try the contract on a live service, many times over: `python tests/long/contract.py [--minutes 13]`.

For every operation its examples, then every field and word at and beyond its limits, then so many requests drawn at
random, then walks along the links. Whatever is sent, the service shall answer as the contract says and be there in the
end. Prints how many cases there were, which operations were reached in the time, and what was not as it should be. Exit
code 1: something was not, or the cases were fewer than asked for.
"""

import argparse
import sys
import time
from collections import Counter
from pathlib import Path
from typing import Any

import schemathesis

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from schemathesis.engine import events, from_schema
from tests.contract.tried import ONCE, config, document
from tests.faults.processes import running

AT_LEAST = 10_000
MINUTES = 13
"""With what it takes to begin and to end, a quarter of an hour on two processors."""


def failures(scenario: events.ScenarioFinished) -> list[str]:
    """Return what was not as it should be, a line each."""
    return [
        f"{scenario.label}: {check.name}: {check.failure_info.failure.message}"
        for checks in scenario.recorder.checks.values()
        for check in checks
        if check.failure_info is not None
    ]


def main(arguments: list[str]) -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--examples", type=int, default=100, help="drawn at random for each operation")
    parser.add_argument("--minutes", type=int, default=MINUTES, help="after which it ends; 0: never")
    parser.add_argument("--at-least", type=int, default=AT_LEAST, help="cases, fewer of which are a failure")
    asked = parser.parse_args(arguments)
    cases: Counter[str] = Counter()
    reached: set[str] = set()
    wrong: list[str] = []
    with running(log_level="error") as (port, process):
        schema: Any = schemathesis.openapi.from_dict(
            document(tables_in=(ONCE,)), config=config(asked.examples, limits=True)
        )
        schema.config.update(base_url=f"http://127.0.0.1:{port}")
        schema.config.max_time = 60 * asked.minutes or None
        began = time.perf_counter()
        for event in from_schema(schema).execute():
            if isinstance(event, events.ScenarioFinished):
                found = failures(event)
                cases[str(event.phase)] += len(event.recorder.cases)
                reached.add(str(event.label))
                wrong += found
                taken = time.perf_counter() - began
                print(f"{taken:6.0f} s {event.phase} {event.label}: {len(event.recorder.cases)}", *found, sep="\n")
            elif isinstance(event, events.NonFatalError | events.FatalError):
                wrong.append(str(event))
        if process.poll() is not None:
            wrong.append("the service ended")
    total = sum(cases.values())
    taken = (time.perf_counter() - began) / 60
    print(f"{len(reached)} operations and walks in {taken:.1f} minutes: {', '.join(sorted(reached))}")
    print(f"{total} cases ({', '.join(f'{name} {count}' for name, count in cases.items())}), {len(wrong)} failures")
    print("\n".join(dict.fromkeys(wrong)))
    return 1 if wrong or total < asked.at_least else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
