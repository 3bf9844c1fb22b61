"""Draft of one's own in place of the table's, and a range of one's own."""

from typing import Any

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from drawbar_service.api.answers import Ledger
from drawbar_service.api.faults import ImpossibleInput
from drawbar_service.api.v1.draft import DRAFT
from drawbar_service.api.v1.draft.answer import DraftAnswer
from drawbar_service.api.v1.match import MATCH
from drawbar_service.quantities import decode_quantity

CHISEL = {"tool": "chisel-plow.shovel-or-sweep", "count": 9, "spacing": "40 cm", "depth": "20 cm"}
DISK = {"tool": "disk-harrow.tandem-secondary", "width": "4 m", "depth": "10 cm"}


def drafted(
    *tools: dict[str, Any], texture: str = "medium", speed: str = "8 km/h", multiplier: float = 1.0
) -> DraftAnswer:
    body = {
        "implement": {"hitch": "drawbar", "tools": list(tools), "draft_multiplier": multiplier},
        "soil": {"texture": texture, "surface": "firm"},
        "speed": speed,
    }
    return DRAFT.compute(msgspec.convert(body, DRAFT.request, dec_hook=decode_quantity), Ledger("metric"))


@given(
    newtons=st.floats(10.0, 1e5),
    texture=st.sampled_from(["fine", "medium", "coarse"]),
    speed=st.floats(1.0, 15.0),
    multiplier=st.floats(0.5, 2.0),
)
def test_a_draft_of_ones_own_depends_on_width_or_count_alone(newtons, texture, speed, multiplier):
    here = {"texture": texture, "speed": f"{speed!r} km/h", "multiplier": multiplier}
    per_tool = drafted(CHISEL | {"draft_per_tool": f"{newtons!r} N"}, **here)
    assert float(per_tool.draft.total) == pytest.approx(9.0 * newtons * multiplier)
    per_width = drafted(DISK | {"draft_per_width": f"{newtons!r} N/m"}, **here)
    assert float(per_width.draft.total) == pytest.approx(4.0 * newtons * multiplier)


def test_a_draft_of_a_metre_takes_the_width_of_count_and_spacing():
    assert float(drafted(CHISEL | {"draft_per_width": "5 kN/m"}).draft.total) == pytest.approx(5e3 * 9 * 0.4)


def test_it_says_that_nothing_changes_it_and_names_no_source_of_the_table():
    answer = drafted(DISK | {"draft_per_width": "5 kN/m"})
    (warning,) = answer.about.warnings
    assert (warning.code, warning.pointer) == ("rough-estimate", "/implement/tools/0/draft_per_width")
    assert answer.about.sources == ["caller"]


@pytest.mark.parametrize("own", [{}, {"draft_per_width": "5 kN/m"}])
@given(spread=st.floats(0.01, 1.0))
def test_a_range_of_ones_own_holds_nine_in_ten(own, spread):
    total = drafted(DISK | own | {"draft_range": spread}).draft.total
    assert total.high == pytest.approx((1.0 + spread) * float(total))
    assert total.low == pytest.approx(float(total) / (1.0 + spread))


@pytest.mark.parametrize(
    ("tool", "pointer"),
    [
        (CHISEL | {"draft_per_width": "5 kN/m", "draft_per_tool": "2 kN"}, "/implement/tools/0/draft_per_tool"),
        (DISK | {"draft_per_tool": "2 kN"}, "/implement/tools/0/count"),
        ({"tool": "rotary-hoe", "draft_per_width": "1 kN/m"}, "/implement/tools/0/width"),
    ],
)
def test_what_is_missing_or_given_twice_is_a_fault(tool, pointer):
    with pytest.raises(ImpossibleInput) as refusal:
        drafted(tool)
    assert pointer in [fault.pointer for fault in refusal.value.faults]


def test_a_narrower_range_makes_a_match_that_fits_surer():
    def chance(spread: float) -> float:
        body = dict(MATCH.example)
        tools = [tool | {"draft_range": spread} for tool in body["implement"]["tools"]]
        body["implement"] = body["implement"] | {"tools": tools}
        answer = MATCH.compute(msgspec.convert(body, MATCH.request, dec_hook=decode_quantity), Ledger("metric"))
        assert answer.verdict.fits
        return answer.verdict.chance

    assert chance(0.6) < chance(0.3) < chance(0.1)
