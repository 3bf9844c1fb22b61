"""A calculation: what it takes, what it gives, and the function between."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any, Final, Generic, Literal, TypeAlias, TypeVar

import msgspec

from drawbar_service.api.answers import Answer, Ledger
from drawbar_service.api.costs import seconds_alone
from drawbar_service.api.shared.tables import with_own_tables

RequestT = TypeVar("RequestT", bound=msgspec.Struct)
AnswerT = TypeVar("AnswerT", bound=Answer)

Lasting: TypeAlias = Literal["moment", "while", "long"]
"""How long an answer takes, which decides where it is worked out."""
MOMENT: Final = 2e-3
"""Most that is worked out on the event loop, where all others wait [s]."""
WHILE: Final = 5e-2
"""Most that is worked out in a thread of the service, which others share the interpreter with [s]."""


def no_steps(request: msgspec.Struct) -> int:
    """Say that requests differ little in what they cost."""
    return 0


@dataclass(frozen=True)
class Calculation(Generic[RequestT, AnswerT]):
    """One POST endpoint.

    Everything else about it (route, reading, writing, contract, documentation) follows from this.

    Parameters
    ----------
    name : str
        Last part of the path.
    request, answer : type
        What is read and written.
    compute : callable
        From the request and a ledger to the answer.
    summary, description : str
        For the contract.
    more : str
        What the documentation says beyond that.
    example : dict
        A request body that is answered.
    steps : callable
        How many of what makes one request cost more than another there are in it: scenarios, passes, runs. What a step
        costs is in ``costs.toml``.
    by_row : str
        Why a batch works the rows of this calculation one at a time; empty where it works a block of them at once.
    columns : tuple of str
        JSON Pointers into the answer: what a batch gives back unless it asks for other columns.
    shown_as : dict
        Media types the answer also comes in, for people to look at, each with what it is then.
    """

    name: str
    request: type[RequestT]
    answer: type[AnswerT]
    compute: Callable[[RequestT, Ledger], AnswerT]
    summary: str
    description: str
    example: Mapping[str, Any]
    more: str = ""
    steps: Callable[[RequestT], int] = no_steps
    by_row: str = ""
    columns: tuple[str, ...] = ()
    shown_as: Mapping[str, str] = field(default_factory=dict[str, str])

    def __post_init__(self) -> None:
        """Let every lookup find the rows that a request gives in place of those of the tables."""
        object.__setattr__(self, "compute", with_own_tables(self.compute))

    def seconds(self, request: RequestT) -> float:
        """Return what the answer to a request takes of a processor, by estimate [s]."""
        return seconds_alone(self.name, self.steps(request))

    def lasts(self, request: RequestT) -> Lasting:
        """Return how long the answer to a request takes, by estimate."""
        seconds = self.seconds(request)
        return "moment" if seconds <= MOMENT else "while" if seconds <= WHILE else "long"

    @property
    def path(self) -> str:
        """Address of the endpoint."""
        return f"/v1/{self.name}"

    @property
    def operation_id(self) -> str:
        """Name of the operation in the contract, and of the method of a client."""
        return self.name.replace("-", "_")
