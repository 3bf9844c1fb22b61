"""Write what follows from the service's types: `python openapi/generate.py`, or `--check` to only compare.

The contract is openapi/drawbar-v1.json, and without its blanks the file that the service serves; the SDK's types,
sdk/src/drawbar/models.py, and its methods that calculate are made from it. The SDK's sync client is made from its async
one, and its reader and writer of Arrow streams are copies of the service's. Equations are typeset here, so that the
service can show them without a typesetter. The words for limits and verdicts go from the service to the SDK and the
page, and the table of paths to the README.
"""

import sys
from pathlib import Path
from typing import Any

import msgspec
from limit_words import for_page, for_sdk
from mathml import typeset
from readme_table import with_paths
from sdk_arrow import COPIES, copied_source
from sdk_client import SYNC, sync_source
from sdk_dicts import dicts
from sdk_models import models
from sdk_names import names
from sdk_operations import methods, operations
from sdk_units import units

from drawbar_service.api.openapi import document
from drawbar_service.api.words import LIMIT_WORDS, VERDICT_WORDS
from drawbar_service.quantities import DIMENSIONS, factors_by_pint
from drawbar_service.reference.methods import METHODS

ROOT = Path(__file__).resolve().parents[1]
_SDK = "sdk/src/drawbar"
_BATCH = "service/src/drawbar_service/batch"


def generated() -> dict[str, str]:
    """Return the text of every generated file, by its path in the repository."""
    served = msgspec.json.encode(document())
    contract = msgspec.json.decode(served, type=dict[str, Any])
    calculations = methods(contract)
    factors = msgspec.json.format(msgspec.json.encode(factors_by_pint()), indent=2)
    made = {"_async_calculations.py": calculations}
    return {
        "README.md": with_paths(_text("README.md"), contract),
        "openapi/drawbar-v1.json": msgspec.json.format(served, indent=2).decode() + "\n",
        "service/src/drawbar_service/api/contract.json": served.decode(),
        "sdk/src/drawbar/models.py": models(contract),
        f"{_SDK}/dicts.py": dicts(contract),
        f"{_SDK}/_names.py": names(contract),
        f"{_SDK}/_units.py": units(DIMENSIONS),
        "service/src/drawbar_service/reference/data/unit_factors.json": factors.decode() + "\n",
        "service/src/drawbar_service/docs/equations.json": typeset(METHODS),
        f"{_SDK}/_calculations.py": operations(contract),
        f"{_SDK}/_async_calculations.py": calculations,
        f"{_SDK}/_limits.py": for_sdk(LIMIT_WORDS, VERDICT_WORDS),
        "service/src/drawbar_service/workbench/limits.js": for_page(LIMIT_WORDS, VERDICT_WORDS),
        **{
            f"{_SDK}/{name}": sync_source(made.get(source) or _text(f"{_SDK}/{source}"), source)
            for name, source in SYNC.items()
        },
        **{f"{_SDK}/{ours}.py": copied_source(_text(f"{_BATCH}/{name}.py"), name) for ours, name in COPIES.items()},
    }


def _text(name: str) -> str:
    return (ROOT / name).read_text("utf-8")


def main(arguments: list[str]) -> int:
    if arguments not in ([], ["--check"]):
        print(__doc__, file=sys.stderr)
        return 2
    fault = 0
    for name, text in generated().items():
        file = ROOT / name
        if not arguments:
            file.write_text(text, "utf-8", newline="\n")
        elif not file.is_file() or file.read_text("utf-8") != text:
            print(f"{name} is out of date; run: python openapi/generate.py", file=sys.stderr)
            fault = 1
    return fault


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
