"""What every answer can do beyond holding its fields: show itself in a notebook, and give its rows as frames."""

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
    """An answer of the service. `print` shows it as the command line does."""

    def to_dict(self) -> dict[str, Any]:
        """Give the answer as plain dicts, lists, numbers and texts, as in JSON."""
        return msgspec.to_builtins(self)

    def __str__(self) -> str:
        # What writes answers knows their types, which are made from this one.
        from drawbar._written import written  # noqa: PLC0415

        return written(self)

    def to_pandas(self, rows: str | None = None) -> pandas.DataFrame:
        """Give one of the lists of this answer as a pandas frame. Needs `pip install './sdk[pandas]'`.

        Parameters
        ----------
        rows
            JSON Pointer to the list, such as "/limits"; may be left out where there is one only.

        Raises
        ------
        ValueError
            If it is not clear which; the message names those there are.
        """
        columns = _flat.table(_flat.named_list(self, rows))
        return load("pandas", "pandas").DataFrame(columns)

    def to_polars(self, rows: str | None = None) -> polars.DataFrame:
        """Give one of the lists of this answer as a polars frame. Needs `pip install './sdk[polars]'`.

        Parameters
        ----------
        rows
            JSON Pointer to the list, such as "/limits"; may be left out where there is one only.

        Raises
        ------
        ValueError
            If it is not clear which; the message names those there are.
        """
        columns = _flat.table(_flat.named_list(self, rows))
        return load("polars", "polars").DataFrame(columns, strict=False)

    def _repr_html_(self) -> str:
        return _html.answer(self)


class MatchPicture(Answer, frozen=True, kw_only=True):
    """An answer with limits that can be drawn."""

    def plot(self, ax: Axes | None = None) -> Axes:
        """Draw what is left before each limit, and how far beyond it the work goes. Needs `pip install './sdk[plot]'`.

        Parameters
        ----------
        ax
            Axes to draw on; None for new ones.
        """
        answer: Any = self
        return _plots.margins(answer.limits, answer.verdict.summary, ax)
