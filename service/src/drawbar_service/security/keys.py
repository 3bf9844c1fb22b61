"""API keys: made here, kept by the service as digests only.

A key is ``dbk_<id>_<43 letters of chance>``. The file holds its BLAKE2b digest: with 256 bits of chance in the key
there is nothing to guess, so a slow digest would gain nothing.
"""

import argparse
import hashlib
import hmac
import re
import secrets
import sys
from collections.abc import Sequence
from typing import Annotated, Final, Literal, NamedTuple, TypeAlias

import msgspec
from msgspec import Meta

from drawbar_service.security.rates import Rate, read_rate

Right: TypeAlias = Literal["single", "batch"]
"""What a caller may do: single calculations with their reference data, or batches."""
RIGHTS: Final[tuple[Right, ...]] = ("single", "batch")

PREFIX: Final = "dbk_"
_ID: Final = "[A-Za-z0-9.-]{1,40}"
_NO_DIGEST: Final = "0" * 64


class Caller(NamedTuple):
    """Who calls."""

    id: str
    rights: frozenset[str]
    rate: Rate | None
    """None for the service's own."""
    quota: Rate | None = None
    """None for the service's own."""


class _Entry(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    id: Annotated[str, Meta(pattern=rf"^{_ID}\Z")]
    blake2b: Annotated[str, Meta(pattern=r"^[0-9a-f]{64}\Z")]
    scopes: Annotated[list[Right], Meta(min_length=1, max_length=2)]
    rate: str | None = None
    quota: str | None = None


class _File(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    key: Annotated[list[_Entry], Meta(max_length=10_000)] = []


class Keys:
    """The keys that are known.

    Parameters
    ----------
    entries : sequence
        Several may have the same id: the old and the new key of a caller, while one replaces the other.

    Raises
    ------
    ValueError
        If a rate or a quota is none, or the keys of one caller differ in it: they share one bucket.
    """

    def __init__(self, entries: Sequence[_Entry]) -> None:
        self._of: dict[str, list[tuple[str, Caller]]] = {}
        for entry in entries:
            rate, quota = (None if text is None else read_rate(text) for text in (entry.rate, entry.quota))
            known = self._of.setdefault(entry.id, [])
            for what, value in (("rate", rate), ("quota", quota)):
                if known and getattr(known[0][1], what) != value:
                    raise ValueError(
                        f"the keys of {entry.id} differ in {what}; they share one, so write the same for each"
                    )
            known.append((entry.blake2b, Caller(entry.id, frozenset(entry.scopes), rate, quota)))

    def find(self, key: str) -> Caller | None:
        """Return whose key it is, None if nobody's; digests are compared in constant time."""
        name = key[len(PREFIX) :].partition("_")[0]
        digest = digest_of(key)
        found: Caller | None = None
        for known, caller in self._of.get(name, ((_NO_DIGEST, None),)):
            if hmac.compare_digest(known, digest):
                found = caller
        return found


def read_keys(text: bytes) -> Keys:
    """Return the keys in a file, TOML with a table ``[[key]]`` for each.

    Raises
    ------
    ValueError
        Naming what is wrong in it.
    """
    return Keys(msgspec.toml.decode(text, type=_File).key)


def digest_of(key: str) -> str:
    """Return what is kept of a key, in hexadecimal."""
    return hashlib.blake2b(key.encode(), digest_size=32).hexdigest()


def command(arguments: Sequence[str]) -> int:
    """Make a key: the command ``python -m drawbar_service key new``; return an exit code.

    What belongs in the file goes to standard output, so that it can be appended there; the key goes to standard error
    and nowhere else.
    """
    parser = argparse.ArgumentParser(prog="drawbar_service key", description="Keys for callers.")
    new = parser.add_subparsers(dest="what", required=True).add_parser(
        "new",
        help="make a key",
        description="Make a key. Its table for the file of DRAWBAR_API_KEYS is written to standard output; the key "
        "itself is shown once, on standard error, and kept nowhere.",
    )
    new.add_argument("--id", required=True, help="whose it is: letters, digits, dots and hyphens, such as dashboard")
    new.add_argument("--scopes", required=True, help="what it may do: single, batch, or single,batch")
    new.add_argument("--rate", help="cost units it may spend, such as 600/min; the service's own rate if left out")
    new.add_argument("--quota", help="cost units over a longer time, such as 200000/d; the service's own if left out")
    given = parser.parse_args(arguments)
    scopes = given.scopes.split(",")
    if not re.fullmatch(_ID, given.id):
        new.error(f"--id {given.id!r}: up to 40 letters, digits, dots and hyphens")
    if not set(scopes) <= set(RIGHTS) or len(set(scopes)) < len(scopes):
        new.error(f"--scopes {given.scopes!r}: single, batch, or single,batch")
    limits = ""
    for what in ("rate", "quota"):
        text = getattr(given, what)
        if text is not None:
            try:
                read_rate(text)
            except ValueError as error:
                new.error(f"--{what}: {error}")
            limits += f'{what} = "{text}"\n'
    key = f"{PREFIX}{given.id}_{secrets.token_urlsafe(32)}"
    listed = ", ".join(f'"{scope}"' for scope in scopes)
    sys.stdout.write(f'\n[[key]]\nid = "{given.id}"\nblake2b = "{digest_of(key)}"\nscopes = [{listed}]\n{limits}')
    sys.stdout.flush()
    sys.stderr.write(f"The key, shown this once: {key}\n")
    return 0
