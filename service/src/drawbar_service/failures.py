"""What a caller is told of a calculation that ends without an answer; knows no framework."""

from typing import NamedTuple

from drawbar_service.api.faults import Fault, ImpossibleInput
from drawbar_service.api.wire import NotAcceptable, UnreadableBody, WrongMediaType
from drawbar_service.model.findings import OutOfTime
from drawbar_service.security.refusal import Refused


class Failure(NamedTuple):
    """A failure as its problem document says it."""

    status: int
    detail: str
    errors: list[Fault] | None = None
    headers: dict[str, str] | None = None


def failure_of(error: Exception) -> Failure | None:
    """Return what is said of an `error` that is the caller's, or of the moment; None of any other."""
    match error:
        case ImpossibleInput():
            faults = error.faults
            many = f"{len(faults)} faults" if len(faults) > 1 else "1 fault"
            first = f"{faults[0].pointer or 'the body'}: {faults[0].detail}"
            return Failure(422, f"{many}; {'first, ' if len(faults) > 1 else ''}{first}", faults)
        case UnreadableBody():
            return Failure(400, f"The body could not be read: {error}")
        case WrongMediaType():
            return Failure(415, str(error), headers={"Accept-Post": ", ".join(error.read)})
        case NotAcceptable():
            return Failure(406, str(error))
        case Refused():
            return Failure(error.status, error.detail, headers=error.headers)
        case OutOfTime():
            return Failure(
                503,
                "This was not answered in the time there is for a request. The service is busy, or the request is "
                "large: retry in 30 s, or ask for less.",
                headers={"Retry-After": "30"},
            )
        case _:
            return None
