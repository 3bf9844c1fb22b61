"""Answers by halves: without what they say about themselves, with fewer digits, or only some of their parts."""

import re
from collections.abc import Mapping
from typing import Any, Literal, NamedTuple, TypeAlias, cast, get_args

import msgspec

from drawbar_service.api.answers import NOTHING_SAID, Answer
from drawbar_service.api.faults import MAX_FAULTS, Fault, ImpossibleInput
from drawbar_service.api.rounding import rounded, ways_of
from drawbar_service.quantities import UnitSystem, encode_metric, encode_us

FEWEST_DIGITS, MOST_DIGITS = 2, 15
MOST_FIELDS = 64
_DIGITS = re.compile(r"[0-9]{1,2}")
_PARAMETERS = ("units", "about", "digits", "fields")
Ground: TypeAlias = Literal["light", "dark", "clear", "clear-dark"]
"""What a picture stands on: a ground of its own, by day or by night, or what is behind it, light or dark."""
GROUNDS: tuple[Ground, ...] = get_args(Ground)


class Wanted(NamedTuple):
    """How an answer is wanted."""

    units: UnitSystem = "metric"
    about: bool = True
    """Whether with assumptions, warnings, cautions and sources."""
    digits: int | None = None
    """Significant digits of its numbers; None for all there are."""
    fields: tuple[str, ...] = ()
    """JSON Pointers to the parts that are wanted; none for all."""
    ground: Ground = "light"
    """What its picture stands on."""


WHOLE = Wanted()
"""As an answer is without a word in the query."""


def wanted_of(query: Mapping[str, list[str]], drawn: bool = False) -> Wanted:
    """Return what a query string asks for; `drawn` says whether there is a picture to ask for.

    Raises
    ------
    ImpossibleInput
        With every fault of it.
    """
    known = (*_PARAMETERS, "ground") if drawn else _PARAMETERS
    faults = [
        Fault(f"?{name[:40]}", f"there is no such parameter; there are {', '.join(known)}")
        for name in query
        if name not in known
    ]
    given = {name: ", ".join(query[name]) for name in known if name in query}
    for name, words in (("units", ("metric", "us")), ("about", ("full", "none")), ("ground", GROUNDS)):
        if given.get(name, words[0]) not in words:
            faults.append(Fault(f"?{name}", f"{given[name][:40]!r} is not one of {', '.join(words)}"))
    digits = given.get("digits")
    if digits is not None and not (_DIGITS.fullmatch(digits) and FEWEST_DIGITS <= int(digits) <= MOST_DIGITS):
        faults.append(Fault("?digits", f"a whole number from {FEWEST_DIGITS} to {MOST_DIGITS} belongs here"))
    fields = [one for text in query.get("fields", ()) for one in text.split(",")]
    if len(fields) > MOST_FIELDS:
        faults.append(Fault("?fields", f"at most {MOST_FIELDS} of them"))
    faults += [
        Fault("?fields", f"{one[:40]!r} is no JSON Pointer, such as /verdict/summary")
        for one in fields
        if not one.startswith("/")
    ]
    if faults:
        raise ImpossibleInput(faults[:MAX_FAULTS])
    return Wanted(
        "us" if given.get("units") == "us" else "metric",
        given.get("about") != "none",
        None if digits is None else int(digits),
        tuple(fields),
        cast("Ground", given.get("ground", GROUNDS[0])),
    )


def trimmed(answer: Answer, wanted: Wanted) -> object:
    """Return what is wanted of an `answer`, to be written.

    Raises
    ------
    ImpossibleInput
        If a part is wanted that the answer does not have.
    """
    if wanted.about and wanted.digits is None and not wanted.fields:
        return answer
    members = msgspec.to_builtins(answer, enc_hook=encode_us if wanted.units == "us" else encode_metric)
    if not wanted.about:
        members["about"] = msgspec.to_builtins(NOTHING_SAID)
    if wanted.fields:
        members = _picked(members, wanted.fields)
    return members if wanted.digits is None else rounded(members, wanted.digits, ways_of(type(answer)))


def _picked(members: dict[str, Any], pointers: tuple[str, ...]) -> dict[str, Any]:
    picked: dict[str, Any] = {}
    faults: list[Fault] = []
    for pointer in pointers:
        here: object = members
        there = picked
        *way, last = pointer.removeprefix("/").split("/")
        for step in (*way, last):
            if not isinstance(here, dict) or step not in here:
                if here is not None:
                    names = f"; there are {', '.join(cast('dict[str, Any]', here))}" if isinstance(here, dict) else ""
                    faults.append(Fault("?fields", f"{pointer[:80]!r}: there is no {step[:40]!r} in the answer{names}"))
                break
            here = cast("dict[str, Any]", cast("object", here))[step]
            if step is last or here is None:
                there.setdefault(step, here)
                break
            there = there.setdefault(step, {})
    if faults:
        raise ImpossibleInput(faults[:MAX_FAULTS])
    return picked
