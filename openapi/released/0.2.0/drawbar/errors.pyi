from __future__ import annotations
from typing import ClassVar
import msgspec

class Fault(msgspec.Struct, frozen=True):
    pointer: str = ''
    detail: str = ''

class Problem(msgspec.Struct, frozen=True):
    type: str = 'about:blank'
    title: str = ''
    status: int | None = None
    detail: str = ''
    instance: str = ''
    errors: list[Fault] = []

class DrawbarError(Exception):
    ...

class BadSetting(DrawbarError, ValueError):
    ...

class ConnectionFailed(DrawbarError):

    def __init__(self, address: str, reason: str, attempts: int=1) -> None:
        ...

    def __str__(self) -> str:
        ...

class TimedOut(ConnectionFailed):

    def __str__(self) -> str:
        ...

class Incompatible(DrawbarError):

    def __init__(self, address: str, reason: str) -> None:
        ...

    def __str__(self) -> str:
        ...

class UnreadableAnswer(DrawbarError):

    def __init__(self, status: int, reason: str, request_id: str | None=None) -> None:
        ...

    def __str__(self) -> str:
        ...

class ApiError(DrawbarError):
    meaning: ClassVar[str] = 'Request refused'

    def __init__(self, status: int, problem: Problem, request_id: str | None=None, retry_after: float | None=None, attempts: int=1) -> None:
        ...

    def __str__(self) -> str:
        ...

class BadRequest(ApiError):
    meaning = 'Malformed request'

class Unauthorized(ApiError):
    meaning = 'Key or token missing or not good'

class Forbidden(ApiError):
    meaning = 'Not allowed'

class NotFound(ApiError):
    meaning = 'Not found'

class NotAcceptable(ApiError):
    meaning = 'Format not available'

class TooLarge(ApiError):
    meaning = 'Request too large'

class UnsupportedMedia(ApiError):
    meaning = 'Format not understood'

class ImpossibleInput(ApiError):
    meaning = 'Impossible input'

class TooManyRequests(ApiError):
    meaning = 'Too many requests'

class ServerFault(ApiError):
    meaning = 'Server fault'

class Busy(ServerFault):
    meaning = 'Service busy'
_CLASS_OF_STATUS: dict[int, type[ApiError]] = {400: BadRequest, 401: Unauthorized, 403: Forbidden, 404: NotFound, 406: NotAcceptable, 413: TooLarge, 415: UnsupportedMedia, 422: ImpossibleInput, 429: TooManyRequests, 503: Busy}

def error_class(status: int) -> type[ApiError]:
    ...

def _counted(attempts: int) -> str:
    ...

def _prefixed(request_id: str | None, text: str) -> str:
    ...
