"""Moisture of the soil: what it widens, and what it warns of.

Published effects of moisture on draft differ in size and even in direction, and no published figure says how much less
wet ground carries. So nothing is shifted: ranges widen, and the answer says so. Left out, nothing moves.
"""

from typing import Final

from drawbar_service.engine.arrays import Real, smaller
from drawbar_service.engine.match import Tractor as EngineTractor
from drawbar_service.model.findings import Findings
from drawbar_service.model.nouns import Soil
from drawbar_service.model.tractor import WheeledTractor
from drawbar_service.reference import default, surface

DRY, MOIST, WET, PLASTIC, FROZEN = STATES = ("dry", "moist", "wet", "plastic", "frozen")
"""What the soil at working depth is like in the hand."""
WATERY: Final = (WET, PLASTIC)
SOFT = "soft"
"""Surface that carries least: the table counts wet soil in."""


def state_of_soil(soil: Soil) -> str | None:
    """Return which of :data:`STATES` a `soil` is in; None where the request does not say.

    A water content at or above the plastic limit is plastic, whatever the soil is said to be like.

    Raises
    ------
    RowsDiffer
        If it is another one in some rows.
    """
    water, limit = soil.water_content, soil.plastic_limit
    if water is not None and limit is not None and water >= limit:
        return PLASTIC
    if soil.moisture is None:
        return None
    return next(state for state in STATES if soil.moisture == state)


def times_wider(soil: Soil, found: Findings, pointer: str = "/soil") -> Real:
    """Return how many times as wide the range of the draft is for the moisture of a `soil` [1].

    1 where it is moist or nobody says; else the square root of 2: a second spread beside that of the table, taken to be
    as wide and independent (a choice of this service, no source).
    """
    say_of_water(soil, found, pointer)
    state = state_of_soil(soil)
    if state in (None, MOIST):
        return 1.0
    caution(soil, found)
    found.use("manuwa-ademosun", "plow-in-clay", "arvidsson-keller-2011")
    found.warn("moisture-and-draft", f"{pointer}/moisture", moisture=state)
    if state == FROZEN:
        found.warn("frozen-draft", f"{pointer}/moisture")
    return default("moisture_widens").value


def weaker_of(tractor: WheeledTractor, soil: Soil) -> EngineTractor | None:
    """Return a `tractor` where a wet `soil` carries least; None where it is not wet.

    With the cone index of the table's soft soil, which counts wet soil in, in place of that of the surface. A measured
    cone index is that of the soil as it is, wet or not, and stays.
    """
    if (soil.cone_index is not None or soil.cone_readings) or state_of_soil(soil) not in WATERY:
        return None
    share = smaller(surface(SOFT).cone_index_kPa / surface(soil.surface).cone_index_kPa, 1.0)
    front, rear = tractor.engine.front, tractor.engine.rear
    # The stiffness of a wheel is in proportion to the cone index.
    return tractor.engine._replace(
        front=front._replace(stiffness=share * front.stiffness), rear=rear._replace(stiffness=share * rear.stiffness)
    )


def say_of_traction(soil: Soil, found: Findings, pointer: str = "/soil") -> None:
    """Warn of what moisture does to traction and no published figure covers; caution against working `soil` so."""
    state = state_of_soil(soil)
    caution(soil, found)
    if state in WATERY and soil.cone_index is None and not soil.cone_readings:
        soft = 1000.0 * surface(SOFT).cone_index_kPa
        found.warn("wet-traction", f"{pointer}/moisture", soft=soft)
    if state == FROZEN:
        found.warn("frozen-traction", f"{pointer}/moisture")


def say_of_water(soil: Soil, found: Findings, pointer: str = "/soil") -> None:
    """Warn where a water content or a plastic limit stands alone: only the two together say something."""
    for name, other in (("water_content", "plastic_limit"), ("plastic_limit", "water_content")):
        if getattr(soil, name) is not None and getattr(soil, other) is None:
            found.warn("water-alone", f"{pointer}/{name}", other=other)


def caution(soil: Soil, found: Findings) -> None:
    """Caution against working a `soil` that is too wet or frozen."""
    state = state_of_soil(soil)
    if state == PLASTIC:
        found.use("nrcs-feel-and-appearance")
        found.caution("plastic-soil")
    elif state == FROZEN:
        found.use("van-es-1995")
        found.caution("frozen-soil")
