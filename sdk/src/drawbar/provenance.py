"""Where answers come from, so that they can be cited: what was asked, of which versions, and when."""

from __future__ import annotations

import datetime
import hashlib
import importlib.metadata
from collections.abc import Mapping
from typing import Any

import msgspec

from drawbar._version import __version__


class Provenance(msgspec.Struct, frozen=True, kw_only=True):
    """All that it takes to ask again."""

    calculation: str
    """Empty where it is not known."""
    scenario: msgspec.Raw
    """The request, with what does not vary."""
    scenario_sha256: str
    input: str
    """The file that the rows are from; empty where they came from memory."""
    input_sha256: str
    """Of that file, or of the values that varied."""
    rows: int
    columns: list[str]
    units: dict[str, str]
    system: str
    """Of these units: metric or us."""
    service: str
    """Version; empty where it was not asked."""
    sdk: str
    libraries: dict[str, str]
    """Versions of what numbers and files depend on."""
    model: str
    """Version of the model: same request and version, same numbers."""
    sources: list[str]
    """Ids of the sources that the first answer cites; see `drawbar sources`."""
    date: str
    """Day of the run, in UTC."""
    made_by: str = "drawbar; cite it as CITATION.cff says"


def canonical(scenario: object) -> bytes:
    """Return a request in the one form that its digest is taken of.

    Parameters
    ----------
    scenario
        As it was given.
    """
    return msgspec.json.encode(scenario, order="sorted")


def digest(content: bytes) -> str:
    """Return the SHA-256 of some bytes.

    Parameters
    ----------
    content
        The bytes.
    """
    return hashlib.sha256(content).hexdigest()


def libraries(*names: str) -> dict[str, str]:
    """Return the versions of those libraries that are installed here.

    Parameters
    ----------
    names
        Which.
    """
    found: dict[str, str] = {}
    for name in names:
        try:
            found[name] = importlib.metadata.version(name)
        except importlib.metadata.PackageNotFoundError:
            continue
    return found


def provenance(
    scenario: object,
    *,
    calculation: str = "",
    input: str = "",
    input_sha256: str = "",
    rows: int = 0,
    units: Mapping[str, str] | None = None,
    system: str = "metric",
    service: str = "",
    about: Mapping[str, Any] | None = None,
) -> Provenance:
    """Return where answers come from, as of today.

    Parameters
    ----------
    scenario
        The request, with what does not vary.
    calculation
        Which one.
    input, input_sha256
        The file of rows, and its digest.
    rows
        How many.
    units
        Of the columns of the answer, by pointer.
    system
        Of these units: metric or us.
    service
        Its version.
    about
        What the first answer says about itself.
    """
    content, told = canonical(scenario), about or {}
    return Provenance(
        calculation=calculation,
        scenario=msgspec.Raw(content),
        scenario_sha256=digest(content),
        input=input,
        input_sha256=input_sha256,
        rows=rows,
        columns=list(units or {}),
        units=dict(units or {}),
        system=system,
        service=service,
        sdk=__version__,
        libraries=libraries("numpy", "pyarrow"),
        model=str(told.get("model", "")),
        sources=list(told.get("sources", ())),
        date=datetime.datetime.now(datetime.UTC).date().isoformat(),
    )
