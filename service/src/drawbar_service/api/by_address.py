"""Requests in an address, so that a page shows a picture by ``<img src>``: the body of a POST as base64url."""

import base64
import binascii

import msgspec

from drawbar_service.api.faults import Fault, ImpossibleInput

PARAMETER = "request"


def body_of(query: dict[str, list[str]], most_bytes: int) -> bytes:
    """Return the body that a query string holds, and take it out of the query.

    Parameters
    ----------
    query : dict
        As it was parsed.
    most_bytes : int
        Most bytes of a body.

    Raises
    ------
    ImpossibleInput
        If there is none, or none that can be read.
    """
    given = query.pop(PARAMETER, [])
    if len(given) != 1:
        raise ImpossibleInput([Fault(f"?{PARAMETER}", "the request belongs here once, as JSON in base64url")])
    try:
        body = base64.b64decode(given[0].rstrip("=") + "=" * (-len(given[0].rstrip("=")) % 4), b"-_", validate=True)
    except (binascii.Error, ValueError):
        detail = "is not base64url: letters, digits, - and _ only"
        raise ImpossibleInput([Fault(f"?{PARAMETER}", detail)]) from None
    if len(body) > most_bytes:
        raise ImpossibleInput([Fault(f"?{PARAMETER}", f"at most {most_bytes} bytes are read here")])
    try:
        msgspec.json.decode(body)
    except (msgspec.DecodeError, UnicodeDecodeError, RecursionError) as error:
        raise ImpossibleInput([Fault(f"?{PARAMETER}", f"is not well-formed JSON: {str(error)[:200]}")]) from None
    return body
