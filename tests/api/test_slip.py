import msgspec
import pytest

from drawbar_service.api.answers import Ledger
from drawbar_service.api.faults import ImpossibleInput, find_faults
from drawbar_service.api.v1.slip import SLIP
from drawbar_service.api.v1.slip.answer import SlipAnswer
from drawbar_service.api.v1.slip.request import SlipRequest
from drawbar_service.quantities import decode_quantity


def slip(units="metric", **body) -> SlipAnswer:
    return SLIP.compute(msgspec.convert(body, SlipRequest, dec_hook=decode_quantity), Ledger(units))


def faults(**body) -> dict[str, str]:
    with pytest.raises(ImpossibleInput) as refusal:
        slip(**body)
    return {fault.pointer: fault.detail for fault in refusal.value.faults}


def turns(*pairs, **more):
    return {"runs": [{"loaded": loaded, "unloaded": unloaded} for loaded, unloaded in pairs], **more}


@pytest.mark.parametrize(
    ("unloaded", "percent"), [(9.5, 5.0), (9.0, 10.0), (8.5, 15.0), (8.0, 20.0), (7.5, 25.0), (7.0, 30.0)]
)
def test_turns_give_the_published_slip(unloaded, percent):
    """10 turns loaded (tractor operating practice, a published chart)."""
    answer = slip(turns=turns((10.0, unloaded)))
    assert answer.slip == pytest.approx(percent / 100.0, abs=1e-12)
    assert answer.about.warnings == []


def test_times_give_the_published_slip():
    """15 s loaded, 13 s unloaded: 13.3 % (tractor operating practice, a published chart)."""
    answer = slip(times={"runs": [{"loaded": "15 s", "unloaded": "13 s"}]})
    assert answer.slip == pytest.approx(0.133, abs=0.0005)


def test_distances_give_what_the_turns_behind_them_give():
    by_distance = slip(distances={"runs": [{"loaded": "45 m", "unloaded": "50 m"}]})
    assert by_distance.slip == pytest.approx(slip(turns=turns((50.0, 45.0))).slip)


def test_no_error_is_made_up():
    answer = slip(turns=turns((10.0, 9.0)))
    assert answer.standard_error is answer.from_scatter is answer.from_reading is answer.runs[0].standard_error is None


def test_a_reading_error_is_carried_through():
    answer = slip(turns=turns((10.0, 9.0), reading_error=0.1))
    # 0.1/10 sqrt(1 + 0.9^2) by hand.
    assert answer.standard_error == pytest.approx(0.013454, abs=1e-6)
    assert answer.from_scatter is None


def test_runs_are_averaged_with_their_standard_error():
    answer = slip(turns=turns((10.0, 9.0), (10.0, 8.8), (10.0, 9.2)))
    assert answer.slip == pytest.approx(0.10)
    # Scatter 0.02 over the root of 3.
    assert answer.from_scatter == pytest.approx(0.0115470, abs=1e-7)
    assert answer.standard_error == answer.from_scatter
    assert [float(run.slip) for run in answer.runs] == pytest.approx([0.1, 0.12, 0.08])


def test_equal_runs_leave_the_reading_error():
    answer = slip(turns=turns((10.0, 9.0), (10.0, 9.0), reading_error=0.1))
    assert answer.from_scatter == pytest.approx(0.0, abs=1e-15)
    assert answer.standard_error == answer.from_reading == pytest.approx(0.013454 / 2**0.5, abs=1e-6)


def test_readings_the_wrong_way_round_are_refused_each():
    assert list(faults(turns=turns((9.0, 10.0), (10.0, 9.0), (8.0, 9.0)))) == [
        "/turns/runs/0/loaded",
        "/turns/runs/2/loaded",
    ]
    (detail,) = faults(turns=turns((9.0, 10.0))).values()
    assert detail == (
        "9 turns loaded and 10 turns unloaded would be a slip of -11.1 %; a loaded tractor needs more turns than an "
        "unloaded one: are the two swapped?"
    )
    times = faults(times={"runs": [{"loaded": "13 s", "unloaded": "15 s"}]})
    assert "13 s loaded and 15 s unloaded" in times["/times/runs/0/loaded"]
    distances = faults(distances={"runs": [{"loaded": "50 m", "unloaded": "45 m"}]})
    assert "gets less far" in distances["/distances/runs/0/loaded"]


def test_no_way_to_stand_still():
    assert "above 0" in faults(times={"runs": [{"loaded": "15 s", "unloaded": "0 s"}]})["/times/runs/0/unloaded"]
    assert "100 %" in faults(times={"runs": [{"loaded": "15 s", "unloaded": "1e-20 s"}]})["/times/runs/0/loaded"]


def test_one_way_to_measure():
    assert list(faults()) == [""]
    assert list(faults(turns=turns((10.0, 9.0)), times={"runs": [{"loaded": "15 s", "unloaded": "13 s"}]})) == [""]


def test_a_reading_error_as_large_as_the_readings_is_refused():
    assert list(faults(turns=turns((10.0, 9.0), (8.0, 7.9), reading_error=8.0))) == ["/turns/reading_error"]


def test_much_slip_is_warned_of_and_kept():
    answer = slip(turns=turns((10.0, 9.0), (10.0, 6.0)))
    assert answer.slip == pytest.approx(0.25)
    assert [(warning.code, warning.pointer) for warning in answer.about.warnings] == [
        ("outside-range", "/turns/runs/1")
    ]


def test_no_runs_are_no_request():
    assert [fault.pointer for fault in find_faults({"turns": {"runs": []}}, SlipRequest)] == ["/turns/runs"]
