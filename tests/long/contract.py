"""Try the contract on a live service, many times over: `python tests/long/contract.py [--examples 100]`.

For every operation its examples, then every field and word at and beyond its limits, then so many requests drawn at
random, then walks along the links. Whatever is sent, the service shall answer as the contract says and be there in the
end. Prints how many cases there were and what was not as it should be. Exit code 1: something was not, or the cases
were fewer than AT_LEAST.
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

AT_LEAST = 50_000


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
    asked = parser.parse_args(arguments)
    cases: Counter[str] = Counter()
    wrong: list[str] = []
    with running(log_level="error") as (port, process):
        schema: Any = schemathesis.openapi.from_dict(
            document(tables_in=(ONCE,)), config=config(asked.examples, limits=True)
        )
        schema.config.update(base_url=f"http://127.0.0.1:{port}")
        began = time.perf_counter()
        for event in from_schema(schema).execute():
            if isinstance(event, events.ScenarioFinished):
                found = failures(event)
                cases[str(event.phase)] += len(event.recorder.cases)
                wrong += found
                taken = time.perf_counter() - began
                print(f"{taken:6.0f} s {event.phase} {event.label}: {len(event.recorder.cases)}", *found, sep="\n")
            elif isinstance(event, events.NonFatalError | events.FatalError):
                wrong.append(str(event))
        if process.poll() is not None:
            wrong.append("the service ended")
    total = sum(cases.values())
    print(f"{total} cases ({', '.join(f'{name} {count}' for name, count in cases.items())}), {len(wrong)} failures")
    print("\n".join(dict.fromkeys(wrong)))
    return 1 if wrong or total < AT_LEAST else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
