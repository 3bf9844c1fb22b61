"""What fits its schema and is refused all the same: only what a schema cannot say, each kind of it with a reason."""

import tomllib
from typing import Any

import pytest
from tests.contract.refusals import LISTED, READING, in_range, refusals
from tests.contract.tried import document

from drawbar_service.api.calculations import CALCULATIONS
from drawbar_service.api.words import WORDS

EXAMPLES = 5
"""Drawn for each calculation; `tests/long/refused.py` draws more and counts."""


@pytest.fixture(scope="module")
def listed() -> dict[str, Any]:
    return tomllib.loads(LISTED.read_text("utf-8"))


@pytest.fixture(scope="module")
def drawn_from() -> dict[str, Any]:
    return in_range(document(tables_in=()))


def test_every_kind_of_fault_is_in_the_schema_or_has_a_reason_not_to_be(listed: dict[str, Any]) -> None:
    named = [*listed["in_schema"], *(kind for group in listed["prose"].values() for kind in group["kinds"])]
    assert sorted(named) == sorted(WORDS.faults)
    assert all(group["why"].endswith(".") for group in listed["prose"].values())


@pytest.mark.parametrize("calculation", CALCULATIONS, ids=lambda one: one.name)
def test_what_fits_the_schema_is_refused_for_what_only_prose_says(
    listed: dict[str, Any], drawn_from: dict[str, Any], calculation: Any
) -> None:
    tally = refusals(calculation, drawn_from, EXAMPLES)
    assert tally.drawn > 0
    prose = {kind for group in listed["prose"].values() for kind in group["kinds"]}
    assert set(tally.kinds) - {READING} <= prose
    assert tally.too_strict == []
