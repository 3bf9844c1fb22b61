"""What a morning in the field changes: slip from counted wheel turns, then draft and soil, then the match again.

    python trial.py

Reads slip.toml and calibration.toml beside it. Needs: pip install ./sdk ./service
"""

import tomllib
from pathlib import Path
from typing import Any

from drawbar import Client, MatchAnswer

HERE = Path(__file__).parent
SPEED = "7.3 km/h"


def read(name: str) -> dict[str, Any]:
    return tomllib.loads((HERE / name).read_text("utf-8"))


def main() -> None:
    turns, field = read("slip.toml"), read("calibration.toml")
    job = {"tractor": field["tractor"], "implement": field["implement"], "soil": field["soil"], "speed": SPEED}
    with Client.in_process() as client:
        # 1. Chalk on the tire: the slip of one morning, with its error.
        counted = client.slip(turns)
        print(f"Slip by wheel turns: {counted.slip}")

        # 2. That slip is one more run beside those of the file.
        runs = [*field["runs"], {"speed": SPEED, "slip": str(counted.slip.quantity), "slip_error": "1 %"}]
        learned = client.calibration(field | {"runs": runs})
        print(learned.summary)

        # 3. The same job, before and after.
        before = client.match(job)
        tool = field["implement"] | {"draft_multiplier": learned.draft_multiplier.value}
        soil = field["soil"] | {"cone_index": str(learned.cone_index.quantity)}
        after = client.match(job | {"implement": tool, "soil": soil})
    tell("By the tables", before)
    tell("As measured", after)


def tell(title: str, answer: MatchAnswer) -> None:
    work = answer.at_work
    print(f"{title}: {answer.verdict.summary}")
    print(f"    pull {work.pull}, slip {work.slip}, fuel {answer.fuel.rate if answer.fuel else 'too much'}")


if __name__ == "__main__":
    main()
