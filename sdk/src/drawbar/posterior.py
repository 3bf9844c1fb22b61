"""What a calibration learned, as a file that later requests take: multiplier, cone index and how sure both are.

>>> from drawbar.posterior import Posterior
>>> Posterior.of(client.calibration(job)).save("chisel.json")  # doctest: +SKIP
>>> learned = Posterior.read("chisel.json")  # doctest: +SKIP
>>> client.match(learned.into(request, machine="heron", field="millrace"))  # doctest: +SKIP
>>> known = learned.known(field="millrace")  # doctest: +SKIP
>>> Study("match", scenario, known.distributions(), ["/fuel/rate"], known.correlations())  # doctest: +SKIP
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final, Literal

import msgspec

from drawbar.errors import DrawbarError
from drawbar.models import CalibrationAnswer, Reading

if TYPE_CHECKING:
    from drawbar.uncertainty import Distribution

_END_SCORE: Final = 1.6448536269514722
"""Standard normal score of the end of a draft's range: 5 in 100 lie beyond it."""
_WIDEST: Final = 1.0
"""Widest range of a draft, and widest spread, that a request takes [1]."""


class BadPosterior(DrawbarError):  # noqa: N818 - it names the file
    """A file is no posterior of a calibration, or does not say what is asked."""


class Known(msgspec.Struct, frozen=True, kw_only=True, omit_defaults=True):
    """What is known of a machine on a field. Deviations are standard deviations of logarithms [1]."""

    machine: str | None = None
    """None: any, or the only one."""
    field: str | None = None
    """None: any, or one not yet worked."""
    draft_multiplier: float
    """Median [1]"""
    draft_deviation: float
    cone_index: str | None = None
    """Median with its unit; None for a field not yet worked."""
    cone_index_deviation: float | None = None
    correlation: float = 0.0
    """Between the two logarithms [1]"""

    @property
    def draft_range(self) -> float:
        """Range of the draft to either side in which 9 in 10 lie, as a tool of a request takes it [1]."""
        return min(math.exp(_END_SCORE * self.draft_deviation) - 1.0, _WIDEST)

    def distributions(self) -> dict[str, Distribution]:
        """Return the uncertain inputs of a :class:`drawbar.uncertainty.Study`, by pointer. Needs NumPy."""
        from drawbar.uncertainty import lognormal  # noqa: PLC0415 - NumPy only for who asks

        found = {"/implement/draft_multiplier": lognormal(self.draft_multiplier, self.draft_deviation)}
        if self.cone_index is not None and self.cone_index_deviation is not None:
            value, _, unit = self.cone_index.partition(" ")
            found["/soil/cone_index"] = lognormal(float(value), self.cone_index_deviation, unit)
        return found

    def correlations(self) -> dict[tuple[str, str], float]:
        """Return the rank correlation of these inputs, as a :class:`drawbar.uncertainty.Study` takes it."""
        if self.cone_index is None or self.correlation == 0.0:
            return {}
        # Of normal scores with this correlation.
        ranks = 6.0 / math.pi * math.asin(0.5 * self.correlation)
        return {("/implement/draft_multiplier", "/soil/cone_index"): ranks}


class Posterior(msgspec.Struct, frozen=True, kw_only=True):
    """What a calibration learned.

    Parameters
    ----------
    drawbar
        Says what the file is.
    model
        Version of the model it was learned with.
    whole
        All runs taken as of one machine on one field.
    each, elsewhere
        Each machine on each field, and on a field not yet worked, where the runs named them.
    """

    drawbar: Literal["posterior"] = "posterior"
    model: str
    whole: Known
    each: list[Known] = []
    elsewhere: list[Known] = []

    @classmethod
    def of(cls, answer: CalibrationAnswer) -> Posterior:
        """Return what an answer says.

        Parameters
        ----------
        answer
            Of a calibration.
        """
        learned, groups = answer.learned, answer.groups
        whole = Known(
            draft_multiplier=answer.draft_multiplier.value,
            draft_deviation=_plain(learned.draft_multiplier.standard_deviation),
            cone_index=str(answer.cone_index.quantity),
            cone_index_deviation=_plain(learned.cone_index.standard_deviation),
            correlation=learned.correlation,
        )
        return cls(
            model=answer.about.model,
            whole=whole,
            each=[
                Known(
                    machine=one.machine,
                    field=one.field,
                    draft_multiplier=one.draft_multiplier.value,
                    draft_deviation=_plain(one.draft_deviation),
                    cone_index=str(one.cone_index.quantity),
                    cone_index_deviation=_plain(one.cone_index_deviation),
                    correlation=one.correlation,
                )
                for one in (groups.each if groups is not None else ())
            ],
            elsewhere=[
                Known(
                    machine=one.machine,
                    draft_multiplier=one.draft_multiplier.value,
                    draft_deviation=_plain(one.draft_deviation),
                )
                for one in (groups.elsewhere if groups is not None else ())
            ],
        )

    def save(self, path: str | Path) -> None:
        """Write it as JSON.

        Parameters
        ----------
        path
            The file.
        """
        Path(path).write_bytes(msgspec.json.format(msgspec.json.encode(self)) + b"\n")

    @classmethod
    def read(cls, path: str | Path) -> Posterior:
        """Read what :meth:`save` wrote.

        Parameters
        ----------
        path
            The file.

        Raises
        ------
        BadPosterior
            If it is none.
        """
        try:
            return msgspec.json.decode(Path(path).read_bytes(), type=cls)
        except (OSError, msgspec.DecodeError, UnicodeDecodeError) as fault:
            raise BadPosterior(f"{Path(path).name} is no posterior of a calibration: {fault}") from fault

    def known(self, *, machine: str | None = None, field: str | None = None) -> Known:
        """Return what is known of a machine on a field.

        Parameters
        ----------
        machine, field
            As the runs named them. Of a field without runs, what is known of a field not yet worked; of a machine
            without runs, what is known of one that has not yet run.

        Raises
        ------
        BadPosterior
            If one machine was learned from, and it is another.
        """
        if not self.each:
            return self.whole
        names = {one.machine for one in self.each}
        if machine is None and len(names) == 1:
            (machine,) = names
        for one in self.each:
            if field is not None and (one.machine, one.field) == (machine, field):
                return one
        of_machine = [one for one in self.elsewhere if one.machine == machine]
        anyone = of_machine or [one for one in self.elsewhere if one.machine is None]
        if not anyone:
            learned = ", ".join(sorted(str(one) for one in names))
            raise BadPosterior(f"Nothing is known of {machine}; what was learned is of {learned}.")
        return anyone[0]

    def into(
        self, request: Mapping[str, Any], *, machine: str | None = None, field: str | None = None
    ) -> dict[str, Any]:
        """Return a match request, or any with implement and soil, with what was learned in it.

        The multiplier and the cone index are the medians, the range of each tool's draft and, where odds are asked for,
        the spread of the cone index and its correlation with the draft are those of the posterior.

        Parameters
        ----------
        request
            As dicts.
        machine, field
            As for :meth:`known`.
        """
        found = self.known(machine=machine, field=field)
        implement = dict(request["implement"])
        implement["draft_multiplier"] = found.draft_multiplier
        implement["tools"] = [{**tool, "draft_range": found.draft_range} for tool in implement.get("tools") or ()]
        body = {**request, "implement": implement}
        if found.cone_index is not None:
            soil = {name: value for name, value in request["soil"].items() if name != "cone_readings"}
            body["soil"] = {**soil, "cone_index": found.cone_index}
            odds = request.get("odds")
            if odds is not None and found.cone_index_deviation is not None:
                spread = min(math.expm1(found.cone_index_deviation), _WIDEST)
                spreads: dict[str, Any] = {**(odds.get("spreads") or {}), "cone_index": spread}
                body["odds"] = {**odds, "spreads": spreads, "correlation": found.correlation}
        return body


def _plain(share: Reading) -> float:
    """Return a share as a number, whichever unit it was given in."""
    return share.value / 100.0 if share.unit == "%" else share.value
