"""What is answered: slip of every run and of all of them, and how well it is known."""

from typing import Annotated

import msgspec
from msgspec import Meta

from drawbar_service.api.answers import AboutField, Answer, Ledger
from drawbar_service.engine.arrays import Real
from drawbar_service.model.slip_test import MeasuredSlip
from drawbar_service.quantities import Ratio, Share


class SlipRunAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """Slip of one run."""

    slip: Annotated[Share, Meta(description="Slip.")]
    standard_error: Annotated[
        Ratio | None, Meta(description="Standard error from the reading error; null if none was given.")
    ]


class SlipAnswer(Answer, frozen=True, kw_only=True):
    """Slip, and how well it is known. Standard errors are in percentage points of slip."""

    slip: Annotated[Share, Meta(description="Mean slip of the runs.")]
    standard_error: Annotated[
        Ratio | None, Meta(description="Standard error of the mean: the larger of the two below; null if neither is.")
    ]
    from_scatter: Annotated[
        Ratio | None, Meta(description="Standard error of the mean from the scatter of the runs; null for one run.")
    ]
    from_reading: Annotated[
        Ratio | None, Meta(description="Standard error of the mean from the reading error; null if none was given.")
    ]
    runs: Annotated[list[SlipRunAnswer], Meta(description="Every run, in the order of the request.")]
    about: AboutField


def answer_of(found: MeasuredSlip, ledger: Ledger) -> SlipAnswer:
    """Return the answer for slip measured in the field."""
    return SlipAnswer(
        slip=Share.of(found.slip),
        standard_error=_ratio(found.standard_error),
        from_scatter=_ratio(found.from_scatter),
        from_reading=_ratio(found.from_reading),
        runs=[SlipRunAnswer(slip=Share.of(run.slip), standard_error=_ratio(run.standard_error)) for run in found.runs],
        about=ledger.about(),
    )


def _ratio(value: Real | None) -> Ratio | None:
    return Ratio.of(value) if value is not None else None
