"""A small yard program: which tractor takes the job, and what to tell the driver.

    python yard.py disk                 the job of that name, or all jobs without one

It keeps what a farm knows of its machines (here farm.toml beside it), asks drawbar inside its own process, and turns
answers into a line for the board in the yard. Needs: pip install ./sdk ./service
"""

import sys
import tomllib
from pathlib import Path
from typing import NamedTuple

from drawbar import Client, ImpossibleInput, MatchAnswer, Reading

FARM = tomllib.loads((Path(__file__).parent / "farm.toml").read_text("utf-8"))


class Choice(NamedTuple):
    """A tractor for a job, and the work as it would be."""

    tractor: str
    answer: MatchAnswer

    @property
    def fuel(self) -> Reading:
        """Fuel on an area; whatever holds has the power, and so a fuel."""
        assert self.answer.fuel is not None
        return self.answer.fuel.per_area


def choices(client: Client, job: dict[str, str]) -> list[Choice]:
    """Return the tractors that can do a job, the thriftiest first; each as fast as holds 9 times in 10."""
    field = dict(FARM["fields"][job["field"]])
    soil = field.pop("soil")
    found = []
    for name, tractor in FARM["tractors"].items():
        request = {
            "tractor": tractor,
            "implement": FARM["implements"][job["implement"]],
            "soil": soil,
            "field": field,
        }
        answer = client.match(request)
        if answer.verdict.word == "holds":
            found.append(Choice(name, answer))
    return sorted(found, key=lambda choice: choice.fuel.value)


def board(client: Client, name: str) -> str:
    """Return the line for the board."""
    job = FARM["jobs"][name]
    what = f"{name}: {job['implement']} on {job['field']}"
    try:
        found = choices(client, job)
    except ImpossibleInput as refused:
        faults = "; ".join(f"{fault.pointer}: {fault.detail}" for fault in refused.problem.errors)
        return f"{what} - look at the farm file: {faults}"
    if not found:
        return f"{what} - no tractor of ours; hire one, or work shallower or narrower"
    first, *others = found
    work = first.answer.at_work
    line = f"{what} - {first.tractor}, {work.speed:.1f}, {plain(first.fuel)}"
    line += f", held by {first.answer.verdict.binding}"
    if others:
        line += f" (or {', '.join(other.tractor for other in others)})"
    return line


def plain(reading: Reading) -> str:
    """Write a reading without its range: a board is no place for it."""
    return str(reading.quantity) if reading.value == round(reading.value) else f"{reading.value:.1f} {reading.unit}"


def main(jobs: list[str]) -> None:
    with Client.in_process() as client:
        for name in jobs or FARM["jobs"]:
            print(board(client, name))


if __name__ == "__main__":
    main(sys.argv[1:])
