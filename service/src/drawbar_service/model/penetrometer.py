"""The cone index as it was measured: one figure, or readings by depth."""

from itertools import pairwise

from drawbar_service.engine.arrays import Real, along, larger, smaller
from drawbar_service.model.findings import Findings
from drawbar_service.model.nouns import Soil

TRACTION_DEPTH = 0.15
"""Depth [m] down to which the traction equations take the mean of the cone index (Brixius 1987, from memory)."""


_ANY = 1e6
"""Stands in for readings that are at fault [Pa]."""


def measured_cone_index(soil: Soil) -> Real | None:
    """Return the cone index [Pa] that was measured, None where none was.

    Of readings by depth the mean from the surface down to :data:`TRACTION_DEPTH`: on straight lines between readings,
    the nearest one beyond them.
    """
    if not soil.cone_readings:
        return soil.cone_index
    depths = [reading.depth for reading in soil.cone_readings]
    values = [reading.cone_index for reading in soil.cone_readings]
    ends = [0.0, *(smaller(depth, TRACTION_DEPTH) for depth in depths), TRACTION_DEPTH]
    summed: Real = 0.0
    for above, below in pairwise(ends):
        both = along(above, depths, values) + along(below, depths, values)
        summed = summed + 0.5 * larger(below - above, 0.0) * both
    return summed / TRACTION_DEPTH


def cone_index_of(soil: Soil, found: Findings, pointer: str) -> Real | None:
    """Return the measured cone index [Pa] of a `soil` that stands at a `pointer`, None where none was measured.

    Readings that cannot be are noted as faults, and any number stands in for them.
    """
    if not soil.cone_readings:
        return soil.cone_index
    faults = len(found.refused)
    found.instead(f"{pointer}/cone_readings")
    if soil.cone_index is not None:
        found.fault("cone-index-once", f"{pointer}/cone_readings")
    for at, (upper, lower) in enumerate(pairwise(soil.cone_readings)):
        if lower.depth <= upper.depth:
            found.fault("depths-rise", f"{pointer}/cone_readings/{at + 1}/depth")
    return measured_cone_index(soil) if len(found.refused) == faults else _ANY
