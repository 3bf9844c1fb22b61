"""How everything looks that people see: colours and type of page, docs, field sheet and pictures, in `tokens.css`."""

import re
from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from types import MappingProxyType

_BLOCK = re.compile(r"(@media [^{]*\{\s*)?:root \{([^}]*)\}")
_TOKEN = re.compile(r"--([a-z0-9-]+): ([^;]+);")
_NIGHT = "prefers-color-scheme: dark"


@cache
def tokens() -> str:
    """Return the stylesheet that names every colour and face, by day, by night and on paper."""
    return (files("drawbar_service.look") / "tokens.css").read_text(encoding="utf-8")


@cache
def looks(night: bool = False) -> Mapping[str, str]:
    """Return what each token stands for by day, or by night, under its name without the dashes."""
    found: dict[str, str] = {}
    for media, block in _BLOCK.findall(tokens()):
        if not media or (night and _NIGHT in media):
            found |= dict(_TOKEN.findall(block))
    return MappingProxyType(found)
