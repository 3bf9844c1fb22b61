"""Fit days from daily weather to recorded weeks: `python tests/long/fit_days.py`; some minutes.

Writes the coefficients the service ships (`reference/data/soil_water.csv`), fitted to all years, and those fitted
without each year in turn (`tests/published/data/soil_water_left_out.csv`), by which `tests/published/days.py` scores.
Two rows: weather averaged over a region against the weeks of that region, and weather of one station against the same
weeks.
"""

import csv
import sys
from pathlib import Path

import numpy as np
from scipy.optimize import brentq, least_squares

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tests.published.daily_weather import KINDS, YEARS, predicted, recorded_weeks, weather_of

from drawbar_service.engine.soil_water import SoilWater
from drawbar_service.reference import tables

DATA = Path(tables.__file__).parent / "data" / "soil_water.csv"
LEFT_OUT = Path(__file__).parents[1] / "published" / "data" / "soil_water_left_out.csv"
START = SoilWater(20.0, 170.0, 0.4, 0.2, 0.3, 0.03, 3.0, 5.0, 6.0, 1.8, 2.0, 1.2)
LOW = SoilWater(8.0, 60.0, 0.01, 0.002, 0.1, 0.01, -10.0, 0.0, 0.0, 0.0, -5.0, 0.0)
HIGH = SoilWater(60.0, 400.0, 0.9, 0.4, 1.2, 0.3, 15.0, 12.0, 12.0, 8.0, 12.0, 8.0)
Z_80 = 1.2815515655446004


def fitted(kind, weeks, start, most):
    """Coefficients that come closest to some weeks, in least squares over all stations of a kind."""
    weathers = [weather_of(station) for station in KINDS[kind]]

    def off(values):
        water = SoilWater(*values)
        return np.concatenate([predicted(one, water, weeks) - weeks.days for one in weathers])

    scale = np.maximum(np.abs(np.array(START)), 0.1)
    return SoilWater(*least_squares(off, start, bounds=(LOW, HIGH), x_scale=scale, max_nfev=most).x.tolist())


def spreads(kind, waters):
    """Spread of a week, its correlation with the next and with any other of the year, from years left out."""
    weeks = recorded_weeks()
    away, sizes = [], []
    for station in KINDS[kind]:
        ours = np.empty(len(weeks.days))
        for year, water in waters.items():
            left = weeks.year == year
            ours[left] = predicted(weather_of(station), water, weeks)[left]
        share = np.clip(ours / 7.0, 0.0, 1.0)
        away.append(weeks.days - ours)
        sizes.append(7.0 * np.sqrt(share * (1.0 - share)))
    ratio = np.concatenate(away) / np.concatenate(sizes)
    spread = float(np.quantile(np.abs(ratio), 0.8)) / Z_80
    grids = []
    for one, size in zip(away, sizes, strict=True):
        grid = np.full((len(YEARS), 54), np.nan)
        grid[weeks.year - YEARS[0], weeks.week] = one / (spread * size)
        grids.append(grid)
    stacked = np.concatenate(grids)
    pairs = [stacked[:, :-1].ravel(), stacked[:, 1:].ravel()]
    both = ~np.isnan(pairs[0] + pairs[1])
    lag = float(np.corrcoef(pairs[0][both], pairs[1][both])[0, 1])

    def excess(year):
        squares, variances = 0.0, 0.0
        for one, size in zip(away, sizes, strict=True):
            for each in YEARS:
                at = (weeks.year == each) & (weeks.week >= 36) & (weeks.week <= 47)
                if not at.any():
                    continue
                apart = np.abs(weeks.week[at][:, None] - weeks.week[at][None, :])
                together = year + (1.0 - year) * lag**apart
                scaled = spread * size[at]
                squares += float(one[at].sum()) ** 2
                variances += float(scaled @ together @ scaled)
        return variances - squares

    year = float(brentq(excess, 0.0, 0.9)) if excess(0.0) < 0.0 < excess(0.9) else 0.0
    return spread, lag, year


def main():
    weeks = recorded_weeks()
    header = [*SoilWater._fields, "spread", "next_week", "same_year"]
    shipped, left_out = [], []
    for kind in KINDS:
        whole = fitted(kind, weeks, START, 40)
        waters = {}
        for year in YEARS:
            waters[year] = fitted(kind, weeks.only(weeks.year != year), whole, 8)
            left_out.append([kind, year, *(f"{value:.6g}" for value in waters[year])])
        spread = spreads(kind, waters)
        shipped.append([kind, *(f"{value:.4g}" for value in (*whole, *spread)), "derived", "days-fit", ""])
        print(kind, whole, spread, flush=True)
    for path, head, rows in (
        (DATA, ["id", *header, "basis", "source", "note"], shipped),
        (LEFT_OUT, ["kind", "left_out", *SoilWater._fields], left_out),
    ):
        with path.open("w", newline="") as file:
            csv.writer(file, lineterminator="\n").writerows([head, *rows])


if __name__ == "__main__":
    main()
