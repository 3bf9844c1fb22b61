"""Write the contract to openapi/drawbar-v1.json: `python openapi/generate.py`, or `--check` to only compare."""

import sys
from pathlib import Path

import msgspec
from drawbar_service.api.openapi import document

CONTRACT = Path(__file__).with_name("drawbar-v1.json")


def contract() -> str:
    return msgspec.json.format(msgspec.json.encode(document()), indent=2).decode() + "\n"


def main(arguments: list[str]) -> int:
    text = contract()
    if arguments == ["--check"]:
        if CONTRACT.read_text("utf-8") == text:
            return 0
        print("openapi/drawbar-v1.json is out of date; run: python openapi/generate.py", file=sys.stderr)
        return 1
    CONTRACT.write_text(text, "utf-8", newline="\n")
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
