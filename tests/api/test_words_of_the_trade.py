"""What a caller calls by another name is refused with the name that is read here."""

from typing import Any

import pytest
from tests.api.test_match_behaviour import EXAMPLE, with_values

from drawbar_service.api.faults import find_faults
from drawbar_service.api.v1.match.answer import MatchRequest


@pytest.mark.parametrize(
    ("pointer", "word", "told"),
    [
        ("soil__texture", "clay", "'clay' is not one of fine, medium, coarse; did you mean 'fine'?"),
        ("soil__texture", "Fine", "did you mean 'fine'?"),
        ("soil__surface", "wet", "did you mean 'soft'?"),
        ("tractor__drive", "MFWD", "did you mean 'front-wheel-assist'?"),
        # Four driven wheels: with equal ones all round, or with smaller ones in front.
        ("tractor__drive", "4WD", "did you mean 'front-wheel-assist' or 'four-wheel'?"),
        ("implement__hitch", "mounted", "did you mean 'three-point'?"),
        ("tractor__mass", "9 tons", "did you mean 't' or 'ton_short'?"),
        ("tractor__power__rated_pto", "145 PS", "did you mean 'hp_metric'?"),
        ("implement__tools__0__depth", '8"', "did you mean 'in'?"),
        ("implement__tools__0__count", 600, "expected a whole number <= 400"),
        ("implement__tools__0__count", "eleven", "expected a whole number, got text"),
    ],
)
def test_the_name_that_is_read_here_is_told(pointer: str, word: Any, told: str) -> None:
    [fault] = find_faults(with_values(EXAMPLE, **{pointer: word}), MatchRequest)
    assert fault.pointer == "/" + pointer.replace("__", "/")
    assert told in fault.detail
