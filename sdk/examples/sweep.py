"""A million matches and a map of them: how fast a chisel can go, by depth and by soil.

    python sweep.py                     a million rows, sweep.png
    python sweep.py 10000 small.png     fewer

One tractor, one chisel; depth, draft multiplier and cone index vary, each with each. Soils differ from the table by a
factor that nobody knows beforehand: the map shows the share of soils in which the work keeps every limit. Needs:
pip install './sdk[numpy,plot]' ./service
"""

import sys
import time

import numpy as np
from matplotlib.figure import Figure

from drawbar import Client

SCENARIO = {
    "tractor": {
        "drive": "front-wheel-assist",
        "power": {"rated_pto": "110 kW"},
        "mass": "8.6 t",
        "front_share": "42 %",
        "wheelbase": "2.76 m",
        "tires": {"front": {"size": "480/70R30"}, "rear": {"size": "620/70R42"}},
    },
    "implement": {
        "hitch": "drawbar",
        "tools": [{"tool": "chisel-plow.shovel-or-sweep", "count": 15, "spacing": "32 cm"}],
        "speed_range": ["5 km/h", "10 km/h"],
    },
    "soil": {"texture": "medium", "surface": "firm"},
}


def sides(rows: int) -> dict[str, np.ndarray]:
    """Return about as many values of each as make up so many rows; soils are drawn by their chances."""
    each = max(4, round((rows / 100) ** 0.5))
    soils = max(4, round((rows / each**2) ** 0.5))
    chances = (np.arange(soils) + 0.5) / soils
    middle = np.log(chances / (1 - chances)) / 1.702  # close to the normal score of a chance
    return {
        "depth": np.linspace(10.0, 26.0, each),
        "speed": np.linspace(5.0, 10.0, each),
        "multiplier": np.exp(0.2 * middle),
        "cone_index": 1100.0 * np.exp(0.25 * middle),
    }


def sweep(rows: int) -> tuple[dict[str, np.ndarray], np.ndarray]:
    """Return the sides of the map and, by depth and speed, the share of soils in which every limit is kept."""
    given = sides(rows)
    with Client.in_process() as client:
        result = client.batch(
            "match",
            SCENARIO,
            vary={
                "/implement/tools/0/depth": ("cm", given["depth"]),
                "/speed": ("km/h", given["speed"]),
                "/implement/draft_multiplier": given["multiplier"],
                "/soil/cone_index": ("kPa", given["cone_index"]),
            },
            mode="grid",
            columns=["/verdict/fits"],
        )
    assert not result.faults, result.faults[:3]
    fits = result.columns["/verdict/fits"].reshape([len(side) for side in given.values()])
    return given, fits.mean(axis=(2, 3))


def draw(given: dict[str, np.ndarray], share: np.ndarray, file: str) -> None:
    """Draw the map."""
    figure = Figure(figsize=(7, 5), layout="constrained")
    axes = figure.subplots()
    mesh = axes.pcolormesh(given["speed"], given["depth"], 100 * share, cmap="cividis", vmin=0, vmax=100)
    lines = axes.contour(given["speed"], given["depth"], 100 * share, levels=[50, 90], colors="black")
    axes.clabel(lines, fmt="%g in 100")
    axes.set_xlabel("speed [km/h]")
    axes.set_ylabel("depth [cm]")
    axes.set_title("Soils in which 15 shanks behind 110 kW keep every limit", loc="left", fontsize="medium")
    figure.colorbar(mesh, ax=axes, label="of 100 soils")
    figure.savefig(file, dpi=120)


def main(rows: int = 1_000_000, file: str = "sweep.png") -> None:
    start = time.perf_counter()
    given, share = sweep(rows)
    done = np.prod([len(side) for side in given.values()])
    print(f"{done:,} matches in {time.perf_counter() - start:.1f} s")
    draw(given, share, file)
    print(f"At 18 cm and 7 km/h: {100 * np.interp(7, given['speed'], _at(18, given, share)):.0f} of 100 soils. {file}")


def _at(depth: float, given: dict[str, np.ndarray], share: np.ndarray) -> np.ndarray:
    return np.array([np.interp(depth, given["depth"], column) for column in share.T])


if __name__ == "__main__":
    main(*(kind(word) for kind, word in zip((int, str), sys.argv[1:], strict=False)))
