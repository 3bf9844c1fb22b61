"""Run the notebooks of sdk/examples, each in a kernel of its own: `python tests/long/notebooks.py [NAME ...]`.

They run in a copy of that folder, so that nothing is left behind. Exit code 1: a cell failed; which one and why is
printed.
"""

import shutil
import sys
import tempfile
import time
from pathlib import Path

import nbformat
from nbclient import NotebookClient
from nbclient.exceptions import CellExecutionError

EXAMPLES = Path(__file__).resolve().parents[2] / "sdk" / "examples"
CELL_SECONDS = 600


def main(names: list[str]) -> int:
    failed: list[str] = []
    with tempfile.TemporaryDirectory(prefix="drawbar-notebooks-") as folder:
        place = Path(shutil.copytree(EXAMPLES, Path(folder) / "examples"))
        for name in names or sorted(one.stem for one in place.glob("*.ipynb")):
            start = time.perf_counter()
            notebook = nbformat.read(place / f"{name}.ipynb", as_version=4)
            nbformat.validate(notebook)
            client = NotebookClient(
                notebook, timeout=CELL_SECONDS, kernel_name="python3", resources={"metadata": {"path": str(place)}}
            )
            try:
                client.execute()
            except CellExecutionError as fault:
                failed.append(name)
                print(fault)
            print(f"{name}: {time.perf_counter() - start:.0f} s", flush=True)
    print("failed: " + ", ".join(failed) if failed else "all ran")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
