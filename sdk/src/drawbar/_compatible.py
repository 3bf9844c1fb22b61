"""Whether a service and this client belong together."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING, Final

from drawbar._version import __version__
from drawbar.errors import Incompatible

if TYPE_CHECKING:
    from drawbar.models import VersionAnswer

API: Final = "v1"
"""The paths that this client knows."""


def compatible(answer: VersionAnswer, address: str, mine: str = __version__) -> VersionAnswer:
    """Return the service's account of itself if it offers all that this client asks for.

    Paths only grow within an API version, so a newer service always serves an older client. An older one may lack
    operations; patch releases add none.

    Parameters
    ----------
    answer
        What the service says of itself.
    address
        Where it is, for the message.
    mine
        This client's version.

    Raises
    ------
    Incompatible
        If the API is another one, or the service older by more than a patch.
    """
    if answer.api != API:
        raise Incompatible(address, f"it answers paths of {answer.api}, this client asks for {API}")
    if _release(answer.service) < _release(mine):
        raise Incompatible(
            address,
            f"it is version {answer.service}, older than this client's {mine}; "
            "bring the service up to date, or install the client of its version",
        )
    return answer


def _release(version: str) -> tuple[int, ...]:
    """Return major and minor number."""
    return tuple(int(digits) for digits in re.findall(r"\d+", version)[:2])
