"""Count requests that fit their schema and are refused all the same: `python tests/long/refused.py [--examples 200]`.

For every calculation so many requests are drawn from its schema and answered in this process. Quantities and sizes of
tires are drawn as their examples, ids as those of the tables, and dates as days of two years, so that what is refused
is not just a text that means nothing, which no schema can say. Prints how many were refused of each calculation, and
for which kinds of faults. From each request that is answered, members are then left out one at a time: what does not
fit the schema any more has to be refused. Exit code 1: a kind of fault was found of which `tests/contract/refused.toml`
says that the schema has it, or of which it says nothing; or a request was answered that does not fit its schema.
"""

import argparse
import sys
import tomllib
from collections import Counter
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tests.contract.refusals import LISTED, READING, in_range, refusals
from tests.contract.tried import document

from drawbar_service.api.calculations import CALCULATIONS


def main(arguments: list[str]) -> int:
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--examples", type=int, default=200, help="drawn at random for each calculation")
    asked = parser.parse_args(arguments)
    whole = in_range(document(tables_in=()))
    listed = tomllib.loads(LISTED.read_text("utf-8"))
    known = {kind for group in listed["prose"].values() for kind in group["kinds"]}
    all_kinds: Counter[str] = Counter()
    too_strict: list[str] = []
    for calculation in CALCULATIONS:
        tally = refusals(calculation, whole, asked.examples)
        all_kinds += tally.kinds
        too_strict += tally.too_strict
        said = ", ".join(f"{kind} {count}" for kind, count in tally.kinds.most_common())
        print(f"{calculation.name}: {tally.refused} of {tally.drawn} refused: {said or 'none'}", flush=True)
    in_schema = sorted(set(all_kinds) - known - {READING})
    print(f"{len(set(all_kinds) - {READING})} kinds of faults besides {READING}")
    print(f"not listed as said in prose: {', '.join(in_schema) or 'none'}")
    print(f"answered though they do not fit: {len(too_strict)}", *too_strict[:10], sep="\n")
    return 1 if in_schema or too_strict else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
