"""How long the SDK takes to import, and what it brings along.

python3 deploy/local.py bench tests/benchmarks/test_import.py -s
"""

import subprocess
import sys

ROUNDS = 5
SCRIPT = (
    "import time; t = time.perf_counter(); import drawbar, sys; print(time.perf_counter() - t, 'numpy' in sys.modules)"
)


def test_import(capsys):
    times: list[float] = []
    for _ in range(ROUNDS):
        output = subprocess.run(
            [sys.executable, "-c", SCRIPT], capture_output=True, text=True, check=True
        ).stdout.split()
        times.append(float(output[0]))
        assert output[1] == "False"
    with capsys.disabled():
        print(
            f"\nimport drawbar: {1000 * min(times):.0f} ms at best, {1000 * max(times):.0f} ms at worst, without NumPy"
        )
