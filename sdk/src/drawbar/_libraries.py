"""Libraries that come with an extra, loaded when they are first needed."""

from __future__ import annotations

import importlib
from typing import Any

from drawbar.errors import DrawbarError


def library(name: str, extra: str) -> Any:
    """Give a module of a library that has no types, or say how to install it.

    Parameters
    ----------
    name
        The module, such as "pyarrow.parquet".
    extra
        Which of this package's extras brings it.

    Raises
    ------
    DrawbarError
        If it is not installed.
    """
    try:
        return importlib.import_module(name)
    except ModuleNotFoundError as fault:
        if fault.name is None or fault.name.partition(".")[0] != name.partition(".")[0]:
            raise
        raise DrawbarError(
            f"This needs {name.partition('.')[0]}, which is not installed here: pip install './sdk[{extra}]'"
        ) from fault
