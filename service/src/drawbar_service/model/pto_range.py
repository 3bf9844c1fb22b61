"""The range of the power at the PTO: that of the draft, and what one tractor and the next take for the same pull."""

from drawbar_service.engine.arrays import Real
from drawbar_service.engine.match import Work
from drawbar_service.engine.odds import widened
from drawbar_service.model.span import Span, ordered
from drawbar_service.reference import default


def pto_range(power: Span[Real], work: Span[Work]) -> Span[Real]:
    """Return the power at the PTO with the ends of its range.

    Parameters
    ----------
    power : Span
        For some `work`, at the central, low and high draft [W].
    work : Span
        That work. What the PTO, the pump and the generator drive has the range it comes with; what pulling takes varies
        from tractor to tractor as well, by the default `traction_spread`.
    """
    if power.low is None or power.high is None or work.low is None or work.high is None:
        return power
    value, low, high = ordered(
        Span(
            power.value - work.value.other_power,
            power.low - work.low.other_power,
            power.high - work.high.other_power,
        )
    )
    assert low is not None  # as above
    assert high is not None
    least, most = widened(value, low, high, default("traction_spread").value)
    return Span(power.value, least + work.low.other_power, most + work.high.other_power)
