"""A calculation: what it takes, what it gives, and the function between."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any, Generic, TypeVar

import msgspec

from drawbar_service.api.answers import Answer, Ledger

RequestT = TypeVar("RequestT", bound=msgspec.Struct)
AnswerT = TypeVar("AnswerT", bound=Answer)


def _never(request: msgspec.Struct) -> bool:
    return False


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
    example : dict
        A request body that is answered.
    takes_long : callable
        Whether a request takes so long that others must not wait for it; none does by default.
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
    takes_long: Callable[[RequestT], bool] = _never
    columns: tuple[str, ...] = ()
    shown_as: Mapping[str, str] = field(default_factory=dict[str, str])

    @property
    def path(self) -> str:
        """Address of the endpoint."""
        return f"/v1/{self.name}"

    @property
    def operation_id(self) -> str:
        """Name of the operation in the contract, and of the method of a client."""
        return self.name.replace("-", "_")
