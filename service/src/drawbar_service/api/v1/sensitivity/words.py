"""The sentences of a sensitivity: what to measure."""

from collections.abc import Mapping, Sequence

from drawbar_service.model.sensitivity import Input, Share

_MEASURE: Mapping[Input, str] = {
    "draft": "the pull of this implement in this soil: hook up and measure it, or watch the engine load",
    "depth": "the working depth, at several places across the machine",
    "cone_index": "the cone index of the soil under the wheels",
    "speed": "the true ground speed",
    "rotary": "the power the PTO-driven machine takes",
}


def advice(shares: Sequence[Share]) -> str:
    """Return which measurement would narrow an output most, from the `shares` of its variance, the strongest first."""
    if not shares:
        return "Nothing that is uncertain here moves it."
    by_itself = f"{100 * min(max(shares[0].first_order, 0.0), 1.0):.0f} %"
    return f"Measure {_MEASURE[shares[0].input]}. It brings {by_itself} of the variance by itself."
