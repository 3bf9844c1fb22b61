"""Libraries that are not always there: loaded when asked for, and named where they are missing."""

from __future__ import annotations

import importlib
from typing import Any


def load(module: str, extra: str) -> Any:
    """Import a library that an extra brings.

    Parameters
    ----------
    module
        The module.
    extra
        The extra that brings it.

    Raises
    ------
    ModuleNotFoundError
        If it is not installed, with what to install.
    """
    try:
        return importlib.import_module(module)
    except ModuleNotFoundError as fault:
        library = module.partition(".")[0]
        if fault.name is None or fault.name.partition(".")[0] != library:
            raise
        raise ModuleNotFoundError(
            f"This needs {library}, which is not installed here: pip install './sdk[{extra}]'", name=fault.name
        ) from fault
