from __future__ import annotations
from typing import TYPE_CHECKING, Any
import msgspec
from drawbar import _flat, _html, _plots
from drawbar._extras import load
if TYPE_CHECKING:
    import pandas
    import polars
    from matplotlib.axes import Axes

class Answer(msgspec.Struct, frozen=True, kw_only=True):

    def to_pandas(self, rows: str | None=None) -> pandas.DataFrame:
        ...

    def to_polars(self, rows: str | None=None) -> polars.DataFrame:
        ...

    def _repr_html_(self) -> str:
        ...

class MatchPicture(Answer, frozen=True, kw_only=True):

    def plot(self, ax: Axes | None=None) -> Axes:
        ...
