"""A county and a fleet: ten million matches, and a map of the smallest tractor that each field asks for.

    time python county.py                       10,000,000 rows, county.png: 8.4 s on two cores, 15 s of a processor
    time python county.py 40000 small.png       fewer

The county is invented: soils in bands along a river, and hills. On each of its fields each tractor pulls each
tool, in soils that differ from the table by factors nobody knows beforehand. A field asks for the smallest tractor that
keeps every limit in 9 of 10 of them. Rows name their tractor by its key in a fleet; blocks of fields are worked by two
processes, so that memory stays small whatever the county. Needs: pip install './sdk[numpy,plot]' ./service; without
matplotlib there is no map.
"""

import sys
import time
from concurrent.futures import ProcessPoolExecutor
from functools import cache
from statistics import NormalDist
from typing import NamedTuple

import numpy as np

from drawbar import Client, plots

TRACTORS = {
    "wren": {
        "drive": "front-wheel-assist",
        "power": {"rated_pto": "65 kW"},
        "mass": "5.2 t",
        "front_share": "42 %",
        "wheelbase": "2.5 m",
        "tires": {"front": {"size": "380/70R24"}, "rear": {"size": "480/70R34"}},
    },
    "heron": {
        "drive": "front-wheel-assist",
        "power": {"rated_pto": "110 kW"},
        "mass": "8.6 t",
        "front_share": "42 %",
        "wheelbase": "2.76 m",
        "tires": {"front": {"size": "480/70R30"}, "rear": {"size": "620/70R42"}},
    },
    "elk": {
        "drive": "four-wheel",
        "power": {"rated_pto": "190 kW"},
        "mass": "15 t",
        "front_share": "56 %",
        "wheelbase": "3.4 m",
        "tires": {"front": {"size": "650/65R42", "count": 4}, "rear": {"size": "650/65R42", "count": 4}},
    },
}
TOOLS = {
    "chisel": {
        "hitch": "drawbar",
        "mass": "2.4 t",
        "tools": [{"tool": "chisel-plow.shovel-or-sweep", "count": 12, "spacing": "30 cm", "depth": "18 cm"}],
    },
    "cultivator": {
        "hitch": "drawbar",
        "mass": "2 t",
        "tools": [{"tool": "field-cultivator.primary", "count": 17, "spacing": "20 cm", "depth": "12 cm"}],
    },
}
SPEEDS = {"chisel": "7 km/h", "cultivator": "9.5 km/h"}
TEXTURES = np.array(["coarse", "medium", "fine"])
CONE_INDEX = np.array([700.0, 1100.0, 1300.0])
"""Of each texture, before what is drawn [kPa]"""
DRAWS = 16
"""Soils drawn for each field, tractor and tool."""
BLOCK_ROWS = 400_000


class County(NamedTuple):
    """Fields on a square, one each; what differs between them."""

    soil: np.ndarray
    """Which of TEXTURES"""
    slope: np.ndarray
    """Rise over run"""


def county(side: int) -> County:
    """Return a county of `side` by `side` fields: clay along a river, then loam, then sand; and hills."""
    east, north = np.meshgrid(np.linspace(0.0, 1.0, side), np.linspace(0.0, 1.0, side))
    away = np.abs(north - 0.5 - 0.2 * np.sin(5.0 * east)) + 0.05 * np.sin(31.0 * east) * np.cos(27.0 * north)
    soil = np.where(away < 0.12, 2, np.where(away < 0.35, 1, 0))
    hills = (np.sin(9.0 * east + 2.0 * north) * np.cos(7.0 * north - 3.0 * east)) ** 2
    return County(soil.ravel(), (0.02 + 0.1 * hills).round(3).ravel())


def factors() -> tuple[np.ndarray, np.ndarray]:
    """Return the factors on draft and cone index that a field may have, the same for all fields: one of each share."""
    scores = np.array([NormalDist().inv_cdf((at + 0.5) / DRAWS) for at in range(DRAWS)])
    random = np.random.default_rng(7)
    return np.exp(0.2 * random.permutation(scores)), np.exp(0.25 * random.permutation(scores))


@cache
def client() -> Client:
    """Return the service of this process, started once."""
    return Client.in_process()


def chances(block: County) -> np.ndarray:
    """Return the share of soils in which every limit is kept: by field, tractor and tool."""
    shape = (len(TRACTORS), len(block.soil), DRAWS)
    tractor, field, drawn = (at.ravel() for at in np.indices(shape))
    draft, strength = factors()
    vary = {
        "/tractor": np.array(list(TRACTORS))[tractor],
        "/soil/texture": TEXTURES[block.soil[field]],
        "/soil/cone_index": ("kPa", CONE_INDEX[block.soil[field]] * strength[drawn]),
        "/field/slope": block.slope[field],
        "/implement/draft_multiplier": draft[drawn],
    }
    found = []
    for name, tool in TOOLS.items():
        scenario = {
            "fleets": {"tractors": TRACTORS},
            "implement": tool,
            "soil": {"surface": "firm"},
            "speed": SPEEDS[name],
        }
        result = client().batch("match", scenario, vary, columns=["/verdict/fits"])
        assert not result.faults, result.faults[:3]
        found.append(result.columns["/verdict/fits"].reshape(shape).mean(axis=-1).T)
    return np.stack(found, axis=-1)


def study(rows: int, processes: int = 2) -> tuple[int, np.ndarray]:
    """Return how many rows were worked, and the chances of each field by tractor and tool."""
    per_field = len(TRACTORS) * len(TOOLS) * DRAWS
    side = max(2, round((rows / per_field) ** 0.5))
    whole = county(side)
    size = max(1, BLOCK_ROWS // per_field)
    blocks = [County(*(of[at : at + size] for of in whole)) for at in range(0, side * side, size)]
    if processes == 1 or len(blocks) == 1:
        found = [chances(block) for block in blocks]
    else:
        with ProcessPoolExecutor(processes) as pool:
            found = list(pool.map(chances, blocks))
    return side * side * per_field, np.concatenate(found).reshape(side, side, len(TRACTORS), len(TOOLS))


def smallest(chance: np.ndarray) -> np.ndarray:
    """Return the number of the smallest tractor that keeps every limit in 9 of 10 soils; past the last: none does."""
    fits = chance >= 0.9
    return np.where(fits.any(axis=-2), fits.argmax(axis=-2), len(TRACTORS))


def draw(asked: np.ndarray, file: str) -> None:
    """Draw a map for each tool."""
    from matplotlib.figure import Figure  # noqa: PLC0415

    figure = Figure(figsize=(10, 4.2), layout="constrained")
    for number, (axes, tool) in enumerate(zip(figure.subplots(1, len(TOOLS)), TOOLS, strict=True)):
        plots.kinds(asked[..., number], [*TRACTORS, "none"], f"smallest tractor for the {tool}", axes)
    figure.savefig(file, dpi=120)


def main(rows: int = 10_000_000, file: str = "county.png") -> None:
    start = time.perf_counter()
    done, chance = study(rows)
    print(f"{done:,} matches in {time.perf_counter() - start:.1f} s")
    asked = smallest(chance)
    for number, tool in enumerate(TOOLS):
        shares = np.bincount(asked[..., number].ravel(), minlength=len(TRACTORS) + 1) / asked[..., number].size
        told = ", ".join(f"{name} {100 * share:.0f} %" for name, share in zip([*TRACTORS, "none"], shares, strict=True))
        print(f"{tool}: {told} of fields")
    try:
        draw(asked, file)
    except ModuleNotFoundError as missing:
        print(f"No map without {missing.name}.")


if __name__ == "__main__":
    main(*(kind(word) for kind, word in zip((int, str), sys.argv[1:], strict=False)))
