"""Whether an answer reads true to the trade (common practice, no source).

A coulter-chisel of n shanks 16 in apart with 4 in twisted shovels, a disk gang in front of them as wide as the
shanks and half as deep, 8 in deep in firm ground of fine texture. Sound speed is 5 to 6.5 mph; the tractors
may go slower, so the range told here begins below that.
"""

import msgspec
import pytest

from drawbar_service.api.answers import Ledger
from drawbar_service.api.v1.match import MATCH
from drawbar_service.quantities import decode_quantity

MPH = 0.44704
LOW_END = 5.0 * MPH

BIG = {
    "name": "235 engine hp",
    "drive": "front-wheel-assist",
    "power": {"engine": "235 hp"},
    "mass": "9.2 t",
    "front_share": "40 %",
    "wheelbase": "2.9 m",
    "tires": {"front": {"size": "480/70R30"}, "rear": {"size": "520/85R42", "count": 4}},
}
SMALLER = BIG | {"name": "155 PTO hp", "power": {"rated_pto": "155 hp"}, "mass": "8 t"}


def coulter_chisel(shanks):
    return {
        "hitch": "drawbar",
        "tools": [
            {"tool": "chisel-plow.twisted-shovel-10cm", "count": shanks, "spacing": "16 in", "depth": "8 in"},
            {"tool": "disk-gang.primary", "width": {"value": shanks * 16, "unit": "in"}, "depth": "4 in"},
        ],
        "speed_range": ["4 mph", "6.5 mph"],
    }


def match(tractor, shanks, **more):
    body = {"tractor": tractor, "implement": coulter_chisel(shanks), "soil": {"texture": "fine", "surface": "firm"}}
    return MATCH.compute(msgspec.convert(body | more, MATCH.request, dec_hook=decode_quantity), Ledger("us"))


@pytest.mark.parametrize("speed", ["5 mph", "5.5 mph"])
def test_nine_shanks_are_comfortable_behind_the_big_tractor(speed):
    answer = match(BIG, 9, speed=speed)
    assert answer.verdict.fits
    assert answer.verdict.binding == "power"
    slack = {limit.name: float(limit.margin) for limit in answer.limits}
    assert slack["power"] > 0.05
    assert float(answer.at_work.slip) < 0.12
    assert float(answer.capacity.width) == pytest.approx(12 * 0.3048)
    # By the range of its table, a chisel plow can pull so hard that it is close.
    assert answer.verdict.word == "close"


def test_eleven_shanks_are_at_their_low_end_behind_it():
    answer = match(BIG, 11, speed="5 mph", find=["speed"])
    assert answer.verdict.fits
    assert answer.verdict.binding == "power"
    assert float(next(limit.margin for limit in answer.limits if limit.name == "power")) < 0.05
    assert LOW_END <= float(answer.greatest.speed.value) < 5.5 * MPH
    assert answer.greatest.speed.limited_by == "power"


def test_the_smaller_tractor_pulls_nine_shanks_only_below_their_low_end():
    answer = match(SMALLER, 9, speed="5 mph")
    assert not answer.verdict.fits
    assert answer.verdict.binding == "power"
    assert 4.0 * MPH < float(answer.greatest.speed.value) < LOW_END
    assert answer.greatest.speed.limited_by == "power"
    assert answer.greatest.width.count < 9
    assert "power" in answer.verdict.summary


def test_a_shank_takes_about_twenty_one_engine_horsepower_at_its_low_end():
    # Common practice, no source: about 21 engine hp for each shank is the low end.
    answer = match(BIG, 11, speed="5 mph")
    engine = float(answer.at_work.pto_power) / 0.9 / 745.69987 / 11
    assert engine == pytest.approx(21.0, rel=0.15)
