"""What presses on the hitch, row by row: the same bits, assumptions and warnings as one by one."""

from typing import Any

import numpy as np
import pytest
from tests.batch.agreeing import all_agree

from drawbar_service.api.v1.ballast import BALLAST
from drawbar_service.api.v1.match import MATCH
from drawbar_service.api.v1.traction import TRACTION
from drawbar_service.batch.plan import Given

SIZE = 60
HITCHES = ("drawbar", "semi-mounted", "three-point")
CHISEL = {"tool": "chisel-plow.twisted-shovel-10cm", "count": 9, "spacing": "36 cm", "depth": "18 cm"}


def members(seed: int, at: str) -> dict[str, Given]:
    """Mass, shares and lever of each row; shares of 0 among them, where nothing presses and nothing is assumed."""
    random = np.random.default_rng(seed)
    some = random.uniform(0.0, 1.0, SIZE) < 0.7
    return {
        f"{at}/mass": Given(random.uniform(0.3, 6.0, SIZE), "t"),
        f"{at}/hitch_share": Given(some * random.uniform(0.0, 1.0, SIZE)),
        f"{at}/vertical_share": Given(some * random.uniform(0.0, 0.4, SIZE)),
        f"{at}/center_of_mass": Given(random.uniform(0.3, 2.0, SIZE), "m"),
    }


@pytest.mark.parametrize("hitch", HITCHES)
@pytest.mark.parametrize("left_out", ["", "hitch_share", "vertical_share", "center_of_mass", "mass"])
def test_matches(hitch: str, left_out: str) -> None:
    body = dict(MATCH.example) | {"implement": {"hitch": hitch, "tools": [CHISEL]}}
    vary = members(1, "/implement") | {"/field/slope": Given(np.random.default_rng(2).uniform(-0.1, 0.1, SIZE))}
    vary.pop(f"/implement/{left_out}", None)
    all_agree(MATCH, body, vary)


def test_loads_hitches_and_transmissions() -> None:
    random = np.random.default_rng(3)
    body = dict(MATCH.example) | {"implement": {"hitch": "drawbar", "tools": [CHISEL]}}
    vary = {
        "/implement/hitch": Given(random.choice(HITCHES, SIZE).tolist()),
        "/implement/vertical_load": Given(random.choice([0.0, 3.0, 8.0], SIZE), "kN"),
        "/implement/mass": Given(random.uniform(0.3, 6.0, SIZE), "t"),
        "/tractor/transmission": Given(random.choice(["gear", "cvt"], SIZE).tolist()),
    }
    all_agree(MATCH, body, vary)


@pytest.mark.parametrize("hitch", HITCHES)
def test_pulls_that_are_known(hitch: str) -> None:
    soil, tractor = MATCH.example["soil"], MATCH.example["tractor"]
    all_agree(TRACTION, {"tractor": tractor, "soil": soil, "pull": "30 kN", "hitch": hitch}, members(4, ""))
    body: dict[str, Any] = {"tractor": tractor, "soil": soil, "speed": "7 km/h"}
    all_agree(BALLAST, body | {"pull": {"force": "30 kN", "hitch": hitch}}, members(5, "/pull"))


def test_the_guide_of_articulated_tractors_beside_others() -> None:
    drives = ["four-wheel", "front-wheel-assist", "two-wheel"] * (SIZE // 3)
    vary = {"/tractor/drive": Given(drives), "/speed": Given(np.linspace(5.0, 12.0, SIZE), "km/h")}
    all_agree(BALLAST, dict(BALLAST.example), vary)
