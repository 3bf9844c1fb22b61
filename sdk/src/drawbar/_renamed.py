"""Old keywords of requests, taken as the new ones with a warning."""

from __future__ import annotations

import warnings
from typing import TYPE_CHECKING, Any

import msgspec

from drawbar._names import GOING, MEMBERS


class _Renamed(msgspec.StructMeta):
    """Takes the old names of members where a request is made."""

    # A type checker is to see the new names only.
    if not TYPE_CHECKING:

        def __call__(cls, *values: Any, **members: Any) -> Any:  # noqa: N805 - a metaclass
            for old, new in MEMBERS.get(cls.__name__, {}).items():
                if old not in members:
                    continue
                if new in members:
                    raise TypeError(f"{cls.__name__}: {old!r} is the old word for {new!r}; give one of them")
                warnings.warn(f"{cls.__name__}: {old!r} is now called {new!r}", DeprecationWarning, stacklevel=2)
                members[new] = members.pop(old)
            return super().__call__(*values, **members)


class Renamed(msgspec.Struct, frozen=True, metaclass=_Renamed):
    """Base of requests some of whose members had another name."""


def current_members(item: msgspec.Struct) -> list[str]:
    """Return the members of an answer that people are shown: all but old names of others.

    Parameters
    ----------
    item
        An answer, or a part of one.
    """
    going = GOING.get(type(item).__name__, ())
    return [name for name in item.__struct_fields__ if name not in going]
