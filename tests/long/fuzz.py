"""Fuzz a door with coverage guidance: `python tests/long/fuzz.py DOOR [-max_total_time=600] [libFuzzer options]`.

Doors are named in tests/fuzz/doors.py. Needs atheris, which `python3 deploy/local.py long` installs with the rest of
tests/long/requirements.lock, and then runs this at every door. What fails is written to the working directory; once mended, put it into
tests/fuzz/corpus/, where the normal tests keep it from coming back.
"""

import sys
import tempfile
from pathlib import Path

import atheris

ROOT = Path(__file__).resolve().parents[2]
CORPUS = ROOT / "tests" / "fuzz" / "corpus"
sys.path.insert(0, str(ROOT / "tests" / "fuzz"))

with atheris.instrument_imports(include=["drawbar_service"]):
    from doors import DOORS


def main(arguments: list[str]) -> None:
    if not arguments or arguments[0] not in DOORS:
        sys.exit(f"{__doc__}\nDoors: {', '.join(DOORS)}")
    door = DOORS[arguments[0]]

    def one(data: bytes) -> None:
        door(data)

    with tempfile.TemporaryDirectory() as found:
        # New inputs go to the first directory, so the kept corpus stays as it is.
        options = [sys.argv[0], found, str(CORPUS / arguments[0]), "-max_len=8192", "-timeout=10", *arguments[1:]]
        atheris.Setup(options, one)
        atheris.Fuzz()


if __name__ == "__main__":
    main(sys.argv[1:])
