"""Ranges in requests: a quantity may come with `low` and `high`, as an answer gives it, and only its value is used.

That is said as an assumption, so that nobody takes the range of an answer to be carried on.
"""

from collections.abc import Iterator
from typing import Any, cast

import msgspec

from drawbar_service.api.answers import About, Answer, Assumption
from drawbar_service.api.wire import JSON
from drawbar_service.api.words import of_assumption
from drawbar_service.reference import CALLER

_ENDS = ("low", "high")
_IN_A_BODY = (b"low", b"high")


def with_ranges_noted(answer: Answer, body: bytes, media_type: str) -> Answer:
    """Return an answer that says of which quantities in the body of its request a range was left aside."""
    if not any(end in body for end in _IN_A_BODY):
        return answer  # as most are, and then nothing is read twice
    decode = msgspec.json.decode if media_type == JSON else msgspec.msgpack.decode
    about = cast("About", msgspec.structs.asdict(answer)["about"])
    return msgspec.structs.replace(answer, about=noted(about, decode(body)))


def noted(about: About, request: object) -> About:
    """Return what is said beside an answer, and of which quantities in the `request` a range was left aside."""
    found = [
        Assumption(pointer, *of_assumption("middle-of-range", text, {}, "metric"), CALLER)
        for pointer, text in _ranged(request, "")
    ]
    if not found:
        return about
    sources = list(dict.fromkeys([*about.sources, CALLER]))
    return msgspec.structs.replace(about, assumptions=[*about.assumptions, *found], sources=sources)


def _ranged(part: object, pointer: str) -> Iterator[tuple[str, str]]:
    """Yield where a quantity with a range stands, and its value as text."""
    if isinstance(part, list):
        for index, item in enumerate(cast("list[object]", part)):
            yield from _ranged(item, f"{pointer}/{index}")
    elif isinstance(part, dict):
        members = cast("dict[str, Any]", part)
        if {"value", "unit"} <= members.keys():
            if any(members.get(end) is not None for end in _ENDS):
                yield pointer, f"{members['value']:.6g} {members['unit']}"
            return
        for name, member in members.items():
            yield from _ranged(member, f"{pointer}/{name.replace('~', '~0').replace('/', '~1')}")
