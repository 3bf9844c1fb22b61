"""Copy the service's reader and writer of Arrow streams to the SDK, which imports nothing of the service."""

from collections.abc import Mapping
from types import MappingProxyType

COPIES: Mapping[str, str] = MappingProxyType(
    {"_flat_buffers": "flat", "_arrow_stream": "arrow_stream", "_arrow_out": "arrow_out"}
)
"""Modules of the SDK, and those of drawbar_service.batch they are copies of."""


def copied_source(text: str, name: str) -> str:
    """Return the source of a module of the SDK.

    Parameters
    ----------
    text : str
        Source of the module of the service.
    name : str
        Name of that module.
    """
    for ours, theirs in COPIES.items():
        text = text.replace(f"drawbar_service.batch.{theirs} import", f"drawbar.{ours} import")
        text = text.replace(f"``{theirs}``", f"``{ours}``")
    return f"# A copy of drawbar_service.batch.{name}, made by openapi/generate.py; edit it there.\n{text}"
