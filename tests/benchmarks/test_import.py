"""How long the SDK takes to import, and a first answer in process; and what they bring along.

python3 deploy/local.py bench tests/benchmarks/test_import.py -s
"""

import json
import subprocess
import sys

ROUNDS = 5
SCRIPT = (
    "import time; t = time.perf_counter(); import drawbar, sys; print(time.perf_counter() - t, 'numpy' in sys.modules)"
)

FIRST_ANSWER = """
import time, json, sys, drawbar
with drawbar.Client.in_process() as client:
    client.match(json.loads(sys.argv[1]))
print(time.process_time(), len(sys.modules))
"""


def test_first_answer_in_process(capsys):
    """From the start of the interpreter to the answer to a match."""
    from drawbar_service.api.v1.match import MATCH

    times: list[float] = []
    for _ in range(ROUNDS):
        asked = [sys.executable, "-c", FIRST_ANSWER, json.dumps(MATCH.example)]
        output = subprocess.run(asked, capture_output=True, text=True, check=True).stdout.split()
        times.append(float(output[0]))
    with capsys.disabled():
        print(
            f"\nfirst match in process: {1000 * min(times):.0f} ms of a processor at best, "
            f"{1000 * max(times):.0f} ms at worst, {output[1]} modules"
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
