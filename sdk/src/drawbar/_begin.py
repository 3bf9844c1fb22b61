"""What the command says with nothing given: an example, and how to go on from it."""

from __future__ import annotations

from collections.abc import Sequence
from importlib.resources import files
from typing import Final

from drawbar._text import columns, wrapped
from drawbar._version import __version__

EXAMPLE: Final = "example.toml"
"""Farm file that comes with the package."""
_STEPS: Final = (
    ("drawbar example > farm.toml", "a farm file to start from: put your machines in"),
    ("drawbar match farm.toml", "one line for each job"),
    ("drawbar match farm.toml --job stubble", "one job in full: what stops it, and what would hold"),
    ("drawbar tables draft", "tools by name; `drawbar tables` lists all tables"),
    ("drawbar --help", "every command"),
)
_MISSING: Final = (
    "An example comes here where the service can be asked: pip install 'drawbar[service]' runs it inside this command, "
    "--url ADDRESS of any command asks one elsewhere."
)
_CAUTION: Final = "An estimate, not a rating: operator's manuals and local law come first."


def example() -> str:
    """Give the farm file that comes with the package."""
    return (files("drawbar") / EXAMPLE).read_text("utf-8")


def overview(jobs: Sequence[str], width: int) -> list[str]:
    """Say what the command is for, and how to go on.

    Parameters
    ----------
    jobs
        The jobs of the example as a table; none if they could not be calculated.
    width
        Longest line.
    """
    head = f"drawbar {__version__}: which tractor on which implement, with draft, slip, power, fuel and area an hour."
    shown = ["The example:", "", *jobs] if jobs else wrapped(_MISSING, width)
    steps = columns(_STEPS, width, indent="  ")
    return [*wrapped(head, width), "", *shown, "", "With your own:", "", *steps, "", *wrapped(_CAUTION, width)]
