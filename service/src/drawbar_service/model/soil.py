"""The soil: what its surface stands for, and how firm it is."""

from drawbar_service.engine.arrays import Real
from drawbar_service.model.findings import Findings
from drawbar_service.model.moisture import say_of_traction
from drawbar_service.model.nouns import Soil
from drawbar_service.model.penetrometer import cone_index_of
from drawbar_service.reference import SurfaceRow, surface


def surface_row(soil: Soil, found: Findings) -> SurfaceRow:
    """Return the table row of the soil's surface."""
    row = surface(soil.surface)
    found.use(row.source)
    return row


def cone_index(soil: Soil, found: Findings, pointer: str) -> Real:
    """Return the cone index [Pa], measured or typical of the surface."""
    say_of_traction(soil, found, pointer)
    measured = cone_index_of(soil, found, pointer)
    if measured is not None:
        return measured
    row = surface_row(soil, found)
    typical = 1000.0 * row.cone_index_kPa
    found.assume("usual-cone-index", f"{pointer}/cone_index", typical, row.source, surface=row.id)
    return typical
