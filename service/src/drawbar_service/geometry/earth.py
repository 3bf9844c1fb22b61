"""Longitude and latitude to a local plane of equal area and back."""

import numpy as np
import pyproj
from pyproj import network

from drawbar_service.engine.arrays import FloatArray

# Nothing here needs a grid of corrections, and a calculation must not wait for somebody's server.
network.set_network_enabled(active=False)  # pyright: ignore[reportPrivateImportUsage] - it is documented there


class LocalPlane:
    """Lambert's azimuthal equal-area projection of the WGS 84 ellipsoid about one point.

    Areas are true anywhere on it; lengths and bearings within one part in a million as far as
    10 km from the point. North is up at the point.

    Parameters
    ----------
    longitude, latitude : float
        Where it touches the ellipsoid [deg].
    """

    def __init__(self, longitude: float, latitude: float) -> None:
        self._projection = pyproj.Proj(proj="laea", lon_0=longitude, lat_0=latitude, ellps="WGS84", units="m")

    @classmethod
    def about(cls, positions: FloatArray) -> "LocalPlane":
        """Return the plane about the middle of `positions` [deg], shape (n, 2), longitude first."""
        middle = 0.5 * (positions.min(axis=0) + positions.max(axis=0))
        return cls(float(middle[0]), float(middle[1]))

    def points(self, positions: FloatArray) -> FloatArray:
        """Return points [m], east and north, for `positions` [deg]; shape (n, 2); infinite where there is none."""
        east, north = self._projection(positions[:, 0], positions[:, 1])
        return np.column_stack((east, north))

    def positions(self, points: FloatArray) -> FloatArray:
        """Return positions [deg], longitude first, for `points` [m]; shape (n, 2)."""
        longitude, latitude = self._projection(points[:, 0], points[:, 1], inverse=True)
        return np.column_stack((longitude, latitude))
