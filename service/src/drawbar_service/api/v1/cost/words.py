"""The sentences of a cost: hire against own."""

from drawbar_service.api.answers import Ledger
from drawbar_service.model.cost_choices import Hire
from drawbar_service.quantities import Area


def hire(found: Hire, ledger: Ledger) -> str:
    """Return on which areas owning costs less."""
    if not found.pays_somewhere:
        return "At this rate hire costs less on any area."
    start = f"from {ledger.say(Area.of(found.pays_from))} a year on" if found.has_start else "on any area"
    end = ""
    if found.has_end:
        most = ledger.say(Area.of(found.pays_up_to))
        end = f", up to {most}, where repairs of so worn a machine make it more expensive again"
    return f"Owning costs less than hire {start}{end}."
