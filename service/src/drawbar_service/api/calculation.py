"""A calculation: what it takes, what it gives, and the function between."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Any, Generic, Literal, TypeAlias, TypeVar

import msgspec

from drawbar_service.api.answers import Answer, Ledger
from drawbar_service.api.shared.tables import with_own_tables

RequestT = TypeVar("RequestT", bound=msgspec.Struct)
AnswerT = TypeVar("AnswerT", bound=Answer)


Lasting: TypeAlias = Literal["moment", "while", "long"]
"""How long an answer takes: some milliseconds at most, some ten of them, or up to seconds."""


def a_moment(request: msgspec.Struct) -> Lasting:
    """Say that an answer takes a moment, whatever is asked."""
    return "moment"


def a_while(request: msgspec.Struct) -> Lasting:
    """Say that an answer takes a while, whatever is asked."""
    return "while"


def a_long_time(request: msgspec.Struct) -> Lasting:
    """Say that an answer takes a long time, whatever is asked."""
    return "long"


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
    lasts : callable
        How long the answer to a request takes. Others do not wait for what takes more than a moment, which is worked
        out in a thread; a batch takes few rows of what takes long.
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
    lasts: Callable[[RequestT], Lasting] = a_moment
    by_row: str = ""
    columns: tuple[str, ...] = ()
    shown_as: Mapping[str, str] = field(default_factory=dict[str, str])

    def __post_init__(self) -> None:
        """Let every lookup find the rows that a request gives in place of those of the tables."""
        object.__setattr__(self, "compute", with_own_tables(self.compute))

    @property
    def path(self) -> str:
        """Address of the endpoint."""
        return f"/v1/{self.name}"

    @property
    def operation_id(self) -> str:
        """Name of the operation in the contract, and of the method of a client."""
        return self.name.replace("-", "_")
