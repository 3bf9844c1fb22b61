"""Fields that exist only here: outlines on a plane [m], the same on the globe, and machines to work them."""

import numpy as np
import shapely
from hypothesis import strategies as st

from drawbar_service.geometry.earth import LocalPlane
from drawbar_service.geometry.plan import Machine

RECTANGLE = [(0.0, 0.0), (600.0, 0.0), (600.0, 300.0), (0.0, 300.0)]
TRIANGLE = [(0.0, 0.0), (500.0, 0.0), (100.0, 300.0)]
ELL = [(0.0, 0.0), (500.0, 0.0), (500.0, 150.0), (200.0, 150.0), (200.0, 400.0), (0.0, 400.0)]
POND = [(250.0, 120.0), (330.0, 110.0), (350.0, 170.0), (280.0, 190.0)]
FIELDS = {
    "rectangle": shapely.Polygon(RECTANGLE),
    "triangle": shapely.Polygon(TRIANGLE),
    "ell": shapely.Polygon(ELL),
    "pond": shapely.Polygon(RECTANGLE, [POND]),
}


def machine(width=6.0, overlap=0.0, speed=2.5, turn_time=20.0):
    return Machine(width, width * (1.0 - overlap), speed, turn_time)


def rings_on_globe(*rings, longitude=-25.4, latitude=41.2):
    """Closed rings of [longitude, latitude] for open rings of points [m] about a place in the sea."""
    plane = LocalPlane(longitude, latitude)
    return [plane.positions(np.array([*ring, ring[0]], dtype=float)) for ring in rings]


def geojson(*rings, **place):
    rings = [ring.round(9).tolist() for ring in rings_on_globe(*rings, **place)]
    return {"type": "Polygon", "coordinates": rings}


def bumpy(radius, waves, corners=48):
    """A smooth outline about the origin: `waves` are pairs of amplitude [1] and phase [rad]."""
    angle = np.linspace(0.0, 2.0 * np.pi, corners, endpoint=False)
    swing = sum(size / k * np.cos(k * angle + phase) for k, (size, phase) in enumerate(waves, 1))
    reach = radius * np.exp(swing)
    return np.column_stack((reach * np.cos(angle), reach * np.sin(angle)))


outlines = st.builds(
    bumpy,
    st.floats(120.0, 500.0),
    st.lists(st.tuples(st.floats(-0.45, 0.45), st.floats(0.0, 6.28)), min_size=2, max_size=4),
)
bearings = st.floats(0.0, np.pi, exclude_max=True)
