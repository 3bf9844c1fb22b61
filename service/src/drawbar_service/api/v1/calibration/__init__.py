"""POST /v1/calibration: what field runs say of this machine's draft and this soil's strength."""

from drawbar_service.api.answers import Ledger
from drawbar_service.api.calculation import Calculation
from drawbar_service.api.shared.tractor import EXAMPLE_TRACTOR
from drawbar_service.api.v1.calibration.answer import CalibrationAnswer, answer_of
from drawbar_service.api.v1.calibration.request import CalibrationRequest
from drawbar_service.model.calibration import Taken, calibrate
from drawbar_service.model.calibration_groups import grouped
from drawbar_service.quantities import ConeIndex, Multiplier, Quantity


def compute(request: CalibrationRequest, ledger: Ledger) -> CalibrationAnswer:
    """Answer a calibration request."""
    taken = Taken(_bounds(Multiplier), _bounds(ConeIndex))
    done = calibrate(request, taken, ledger)
    return answer_of(request, done, grouped(request, done, ledger), ledger)


def _steps(request: CalibrationRequest) -> int:
    """Return how much there is to learn, in runs: each machine on each field is learned from alone, too."""
    groups = {(run.machine, run.field) for run in request.runs}
    count = len(request.runs)
    return count if groups == {(None, None)} else _CHECKED * count + _LIKE_RUNS * len(groups)


_LIKE_RUNS, _CHECKED = 45, 4
"""Runs that take as long as one machine on one field alone, and as long as the checks of one run."""


def _bounds(kind: type[Quantity]) -> tuple[float, float]:
    """Return the least and the most that a request takes of a `kind` of quantity, in SI units."""
    assert kind.least is not None
    assert kind.most is not None
    return kind.least, kind.most


CALIBRATION = Calculation(
    name="calibration",
    request=CalibrationRequest,
    answer=CalibrationAnswer,
    compute=compute,
    summary="Draft multiplier and cone index from runs in the field",
    description=(
        "Learns how this machine's draft here differs from the table's, and how strong the soil is, from measured "
        "pull, slip, fuel or engine load."
    ),
    more=(
        "Both start log-normal: the draft with the range of its table read as two standard deviations, the cone index "
        "around its typical or measured value. What comes out is the most probable pair with its covariance, ready to "
        "go into other requests. Runs that do not go with the others are reported, and never dropped or averaged away "
        "in silence. Runs that name machines and fields are learned from together: `groups` has each, drawn towards "
        "what is common, and a field not yet worked."
    ),
    steps=_steps,
    example={
        "tractor": EXAMPLE_TRACTOR,
        "implement": {
            "hitch": "drawbar",
            "tools": [
                {"tool": "chisel-plow.twisted-shovel-10cm", "count": 9, "spacing": "36 cm", "depth": "18 cm"},
                {"tool": "disk-gang.primary", "width": "3.2 m", "depth": "8 cm"},
            ],
            "mass": "3.1 t",
        },
        "soil": {"texture": "medium", "surface": "firm"},
        "runs": [
            {"speed": "6.2 km/h", "pull": "31.2 kN", "slip": "7 %"},
            {"speed": "7.4 km/h", "pull": "33.6 kN", "fuel_rate": "32.8 L/h"},
            {"speed": "7 km/h", "depth": "15 cm", "pull": "27.1 kN", "slip": "5.5 %"},
            {"speed": "6.8 km/h", "slope": "4 %", "slip": "9.5 %", "engine_load": "61 %"},
        ],
    },
    by_row="a fit to field runs is a search of its own for every request",
    columns=(
        "/draft_multiplier",
        "/cone_index",
        "/learned/draft_multiplier/times_narrower",
        "/learned/cone_index/times_narrower",
        "/consistency/p_value",
    ),
)
