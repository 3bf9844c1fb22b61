"""Fit soil temperature at 10 cm to measured ones: `python tests/long/fit_frost.py`; a minute.

Prints the coefficients the service ships (`engine/soil_water.py`), fitted to all stations, and writes those fitted
without each fifth of them in turn (`tests/published/data/soil_temperature_left_out.csv`), by which
`tests/published/days.py` scores.
"""

import csv
import sys
from pathlib import Path

import numpy as np
from scipy.optimize import least_squares

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tests.published.frost import DATA, PARTS, calculated, stations

from drawbar_service.engine.soil_water import UNDER_GRASS, Ground


def fitted(given):
    """Lag, pull of the year and warmth that come closest in least squares; the heat of freezing stays as it is."""

    def off(values):
        ground = Ground(*values, UNDER_GRASS.freezing)
        return (calculated(ground, given) - given.soil[:, -122:]).ravel()

    bounds = ((0.4, 0.0, -3.0), (0.99, 0.6, 3.0))
    found = least_squares(off, UNDER_GRASS[:3], bounds=bounds, diff_step=1e-3, max_nfev=12)
    return Ground(*found.x.tolist(), UNDER_GRASS.freezing)


def main():
    given = stations()
    print(fitted(given))
    parts = np.arange(len(given.names)) % PARTS
    rows = [[f"{value:.4g}" for value in fitted(given.only(parts != part))] for part in range(PARTS)]
    with (DATA / "soil_temperature_left_out.csv").open("w", newline="") as file:
        csv.writer(file, lineterminator="\n").writerows([Ground._fields, *rows])


if __name__ == "__main__":
    main()
