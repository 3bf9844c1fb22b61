"""Each kept byte string goes through its door: taken or refused in words, as it was, and never a failure."""

import sys
from pathlib import Path

import pytest

HERE = Path(__file__).parent
CORPUS = sorted((HERE / "corpus").glob("*/*"))
TAKEN = {
    *(f"quantity/{name}" for name in ("bare", "exponent", "half", "inches", "money", "percent", "power", "signed")),
    *(f"single-{form}/{name}" for form in ("json", "msgpack") for name in ("field-capacity", "match")),
    *(f"batch-{form}/{name}" for form in ("json", "msgpack") for name in ("grid", "rows")),
    *(f"batch-csv/{name}" for name in ("ragged", "rows", "texts")),
    *("batch-ndjson/rows", "batch-arrow/rows", "batch-arrow/texts"),
}


@pytest.fixture(scope="module")
def doors():
    sys.path.insert(0, str(HERE))
    try:
        from doors import DOORS
    finally:
        sys.path.remove(str(HERE))
    return DOORS


def test_every_door_has_a_corpus(doors):
    assert {file.parent.name for file in CORPUS} == set(doors)


@pytest.mark.parametrize("file", CORPUS, ids=lambda file: f"{file.parent.name}/{file.name}")
def test_bytes_are_taken_or_refused(doors, file):
    door, name = file.parent.name, file.name
    assert doors[door](file.read_bytes()) is (f"{door}/{name}" in TAKEN)
