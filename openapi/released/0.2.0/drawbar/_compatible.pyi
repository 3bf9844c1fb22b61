from __future__ import annotations
import re
from typing import TYPE_CHECKING, Final
from drawbar._version import __version__
from drawbar.errors import Incompatible
if TYPE_CHECKING:
    from drawbar.models import VersionAnswer
API: Final = 'v1'

def compatible(answer: VersionAnswer, address: str, mine: str=__version__) -> VersionAnswer:
    ...

def _release(version: str) -> tuple[int, ...]:
    ...
