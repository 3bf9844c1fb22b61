"""POST /v1/hydraulics: what the functions of an implement take in oil, against pump and outlets."""

from typing import Any

from drawbar_service.api.answers import Ledger
from drawbar_service.api.calculation import Calculation
from drawbar_service.api.v1.hydraulics.answer import HydraulicsAnswer, answer_of
from drawbar_service.api.v1.hydraulics.request import HydraulicsRequest
from drawbar_service.model.hydraulics import oil_at_work, oil_checks


def compute(request: HydraulicsRequest, ledger: Ledger) -> HydraulicsAnswer:
    """Answer a hydraulics request."""
    oil = oil_at_work(request, ledger)
    return answer_of(oil, oil_checks(oil, request.tractor), ledger)


_EXAMPLE: dict[str, Any] = {
    "tractor": {
        "pump": "load-sensing",
        "flow": "115 L/min",
        "pressure": "200 bar",
        "outlets": 4,
        "outlet_flow": "95 L/min",
    },
    "functions": [
        {"name": "disk gang", "steady": {"flow": "11 L/min", "pressure": "35 bar"}},
        {
            "name": "lift",
            "cylinders": {
                "series": True,
                "stroke": "200 mm",
                "time": "3 s",
                "each": [
                    {"bore": "102 mm", "rod": "40 mm", "load": "35 kN"},
                    {"bore": "93.8 mm", "rod": "40 mm", "load": "35 kN"},
                ],
            },
        },
        {
            "name": "fold",
            "cylinders": {
                "stroke": "800 mm",
                "time": "12 s",
                "each": [{"bore": "100 mm", "rod": "50 mm", "count": 2, "load": "60 kN"}],
            },
        },
    ],
}

HYDRAULICS = Calculation(
    name="hydraulics",
    request=HydraulicsRequest,
    answer=HydraulicsAnswer,
    compute=compute,
    summary="Oil: flow, pressure and heat against pump and outlets",
    description=(
        "Flow, pressure and power of each function: steady oil, motors, cylinders side by side or in series. Then "
        "what runs together, against the flow and pressure of the pump, the flow of one outlet and the number of "
        "outlets, with the heat over the relief valve and in throttles."
    ),
    more="What is constant comes back as `hydraulic` of a match.",
    example=_EXAMPLE,
    columns=(
        "/fits",
        "/available_flow",
    ),
)
