"""Bytes to requests and answers to bytes: media types, decoding, encoding."""

import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Any, Generic, NamedTuple, TypeVar, cast

import msgspec

from drawbar_service.api.faults import MAX_FAULTS, Fault, ImpossibleInput, find_faults
from drawbar_service.api.nulls import without_nulls
from drawbar_service.api.renamed import Renaming, in_given_words, old_words
from drawbar_service.quantities import UnitSystem, decode_quantity, encode_metric, encode_us

JSON = "application/json"
MSGPACK = "application/msgpack"
MEDIA_TYPES = (JSON, MSGPACK)
OFFERED = {JSON: JSON, **dict.fromkeys((MSGPACK, "application/x-msgpack", "application/vnd.msgpack"), MSGPACK)}
_QUALITY = re.compile(r"[01](?:\.[0-9]{0,3})?")

T = TypeVar("T", bound=msgspec.Struct)


class UnreadableBody(Exception):  # noqa: N818 - it names the body, not the service's failure
    """The bytes are not what their media type says."""


class WrongMediaType(Exception):  # noqa: N818
    """The body is of a kind that is not read.

    Parameters
    ----------
    told : str
        What was wrong.
    read : iterable of str
        Media types that are read.
    """

    def __init__(self, told: str, read: Iterable[str]) -> None:
        super().__init__(told)
        self.read = tuple(dict.fromkeys(read))


class NotAcceptable(Exception):  # noqa: N818
    """The caller accepts no media type that is written."""


class Read(NamedTuple, Generic[T]):
    """A request that was read."""

    request: T
    renamings: Sequence[Renaming]
    """Old words in it."""


class Reader(Generic[T]):
    """Reads one kind of request, fast when it is right and in full when it is not.

    Parameters
    ----------
    kind : type
    further : callable, optional
        From a decoded body and the faults it cannot be read for to the faults that would be found in it then.
    """

    def __init__(self, kind: type[T], further: Callable[[object, Sequence[Fault]], list[Fault]] | None = None) -> None:
        self._kind = kind
        self._further = further
        self._old = old_words(kind)
        self._json = msgspec.json.Decoder(kind, dec_hook=decode_quantity)
        self._msgpack = msgspec.msgpack.Decoder(kind, dec_hook=decode_quantity)

    def read(self, body: bytes, media_type: str) -> Read[T]:
        """Return the request in `body`, and the old words in it.

        Raises
        ------
        UnreadableBody
            If the bytes are not well-formed.
        ImpossibleInput
            With every fault, if they are but are no such request.
        """
        decoder, decode_any = (
            (self._json, msgspec.json.decode) if media_type == JSON else (self._msgpack, msgspec.msgpack.decode)
        )
        if self._old.may_be_in(body, media_type == JSON):
            return self._read_in_full(body, decode_any, media_type)
        try:
            return Read(decoder.decode(body), ())
        except msgspec.ValidationError:
            return self._read_in_full(body, decode_any, media_type)
        except (msgspec.DecodeError, UnicodeDecodeError, RecursionError) as error:
            raise _unreadable(error, media_type) from None

    def _read_in_full(self, body: bytes, decode_any: Callable[[bytes], object], media_type: str) -> Read[T]:
        """Read what the contract has, too: 11.0 for 11, null for what is left out, old words; or find every fault."""
        try:
            new = self._old.replaced(whole_numbers(decode_any(body)))
        except (msgspec.DecodeError, UnicodeDecodeError, RecursionError) as error:
            raise _unreadable(error, media_type) from None
        faults, further = list(new.faults), list[Fault]()
        try:
            request = read_decoded(new.body, self._kind)
        except RecursionError as error:
            raise _unreadable(error, media_type) from None
        except ImpossibleInput as error:
            faults += error.faults
            further = [] if self._further is None else self._further(new.body, error.faults)
        else:
            if not faults:
                return Read(request, new.renamings)
        raise ImpossibleInput(in_given_words([*faults, *further][:MAX_FAULTS], new.renamings))


def read_decoded(body: object, kind: type[T]) -> T:
    """Return the request that a decoded `body` is, null standing for what is left out.

    Raises
    ------
    ImpossibleInput
        With every fault, if it is no such request.
    """
    try:
        return msgspec.convert(body, kind, dec_hook=decode_quantity)
    except msgspec.ValidationError:
        faults = find_faults(body, kind)
    if faults:
        raise ImpossibleInput(faults)
    try:
        return msgspec.convert(without_nulls(body, kind), kind, dec_hook=decode_quantity)
    except msgspec.ValidationError as error:
        raise ImpossibleInput([Fault("", str(error))]) from None


def whole_numbers(value: object) -> object:
    """Return a decoded body with every float that is a whole number as an int."""
    if isinstance(value, float):
        return int(value) if value.is_integer() else value
    if isinstance(value, list):
        return [whole_numbers(item) for item in cast("list[object]", value)]
    if isinstance(value, dict):
        return {key: whole_numbers(member) for key, member in cast("dict[object, object]", value).items()}
    return value


def _unreadable(error: Exception, media_type: str) -> UnreadableBody:
    if isinstance(error, RecursionError):
        return UnreadableBody("it is nested too deep; no request needs more than ten levels")
    if isinstance(error, UnicodeDecodeError):
        return UnreadableBody("its text is not UTF-8")
    name = "JSON" if media_type == JSON else "MessagePack"
    return UnreadableBody(f"it is not well-formed {name}: {str(error)[:200]}")


def media_type_of(
    content_type: str | None, content_encoding: str | None = None, offered: Mapping[str, str] = OFFERED
) -> str:
    """Return the media type for the headers ``Content-Type``, where none means JSON, and ``Content-Encoding``.

    Parameters
    ----------
    content_type, content_encoding : str or None
    offered : mapping
        Names that are read, each to the one we write.

    Raises
    ------
    WrongMediaType
        For anything else, for a text encoding other than UTF-8, and for a packed body.
    """
    if content_encoding is not None and content_encoding.strip().lower() not in ("", "identity"):
        raise WrongMediaType(
            f"a body packed as {content_encoding[:40]!r} is not read; send it as it is", offered.values()
        )
    if content_type is None:
        return JSON
    name, *parameters = (part.strip() for part in content_type.lower().split(";"))
    if name not in offered:
        raise WrongMediaType(f"{name[:60]!r} is not read; send {_either(offered)}", offered.values())
    for parameter in parameters:
        key, _, charset = parameter.partition("=")
        if key == "charset" and charset.strip('"') not in ("utf-8", "utf8"):
            raise WrongMediaType(f"text in {charset[:40]!r} is not read; send UTF-8", offered.values())
    return offered[name]


def accepted(accept: str | None, offered: Mapping[str, str] = OFFERED) -> str:
    """Return the media type to answer in for an ``Accept`` header.

    Parameters
    ----------
    accept : str or None
    offered : mapping
        Names that are written, each to the one we call it; the first is the most welcome.

    Raises
    ------
    NotAcceptable
        If it admits none.
    """
    if accept is None or accept == "*/*" or accept == JSON or not accept.strip():
        return JSON
    ranges = _ranges(accept)
    named = ((ranges[name], offered[name]) for name in ranges if name in offered)
    rest = ranges.get("*/*", 0.0)
    wild = (
        (ranges.get(f"{media_type.partition('/')[0]}/*", rest), media_type)
        for media_type in dict.fromkeys(offered.values())
        if media_type not in ranges
    )
    quality, best = max((*named, *wild), key=lambda offer: offer[0])
    if quality <= 0.0:
        raise NotAcceptable(f"{accept[:60]!r} is not written here; accept {_either(offered)}")
    return best


def _either(offered: Mapping[str, str]) -> str:
    *others, last = dict.fromkeys(offered.values())
    return f"{', '.join(others)} or {last}"


def _ranges(accept: str) -> dict[str, float]:
    """Return the media ranges of an ``Accept`` header with their quality, which the framework's reader ignores at 0."""
    ranges: dict[str, float] = {}
    for one in accept.lower().split(","):
        name, *parameters = (part.strip() for part in one.split(";"))
        quality = next((part[2:] for part in parameters if part.startswith("q=")), "1")
        ranges[name] = float(quality) if _QUALITY.fullmatch(quality) else 1.0
    return ranges


class _Encoders(NamedTuple):
    json: msgspec.json.Encoder
    msgpack: msgspec.msgpack.Encoder


def _encoders(hook: Callable[[Any], object]) -> _Encoders:
    return _Encoders(msgspec.json.Encoder(enc_hook=hook), msgspec.msgpack.Encoder(enc_hook=hook))


_ENCODERS: Mapping[UnitSystem, _Encoders] = {"metric": _encoders(encode_metric), "us": _encoders(encode_us)}


def write(answer: object, media_type: str, units: UnitSystem = "metric") -> bytes:
    """Return `answer` as bytes of a media type, quantities in the units asked for."""
    encoders = _ENCODERS[units]
    return encoders.json.encode(answer) if media_type == JSON else encoders.msgpack.encode(answer)


def units_of(query: Mapping[str, list[str]]) -> UnitSystem:
    """Return the units asked for in a query string, metric by default.

    Raises
    ------
    ImpossibleInput
        For other units and for any other parameter.
    """
    faults = [
        Fault(f"?{name[:40]}", "there is no such parameter; the only one is units") for name in query if name != "units"
    ]
    values = query.get("units", ["metric"])
    unit = values[0]
    if len(values) != 1 or unit not in ("metric", "us"):
        faults.append(Fault("?units", f"{', '.join(values)[:40]!r} is not one of metric, us"))
    if faults:
        raise ImpossibleInput(faults[:MAX_FAULTS])
    return "us" if unit == "us" else "metric"
