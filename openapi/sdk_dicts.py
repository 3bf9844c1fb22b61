"""Turn the contract's requests into TypedDicts, so that a type checker sees what is wrong in a plain dict."""

from collections.abc import Mapping
from typing import Any

from sdk_client import formatted
from sdk_models import Models

_HEADER = '''\
"""Requests as plain dicts, for type checkers: what `drawbar.models` says of structs, for mappings.

Generated from openapi/drawbar-v1.json by openapi/generate.py; edit neither by hand. At runtime these are dicts and
nothing more: what is wrong in one is found by a type checker before, and by the service after it is sent.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any, Literal, NotRequired, TypedDict

from drawbar import models
'''


def dicts(contract: Mapping[str, Any]) -> str:
    """Return the source of drawbar.dicts for a contract."""
    return formatted(_Dicts(contract).dicts())


class _Dicts(Models):
    def dicts(self) -> str:
        names = [name for name in self.structs() if name in self.requests]
        values = sorted({f"{self.dimension(name)}Value" for name in self.quantities()})
        exported = ", ".join(f'"{name}"' for name in sorted(f"{name}Dict" for name in {*names, *values}))
        parts = [_HEADER, f"__all__ = [{exported}]"]
        parts += [self._value(name) for name in values]
        parts += [self._dict(name) for name in names]
        return "\n\n\n".join(parts)

    def _value(self, name: str) -> str:
        units = self.schemas[name.removesuffix("Value") + "Unit"]["enum"]
        listed = ", ".join(f'"{unit}"' for unit in units)
        return (
            f"class {name}Dict(TypedDict):\n"
            f'    """A number with its unit, or what an answer gave."""\n\n'
            f"    value: float\n    unit: Literal[{listed}]\n"
            "    low: NotRequired[float | None]\n    high: NotRequired[float | None]"
        )

    def _dict(self, name: str) -> str:
        schema = self.schemas[name]
        required = set(schema.get("required", []))
        about = schema["description"].replace("``", "`").split("\n")[0]
        lines = [f"class {name}Dict(TypedDict):", f'    """{about}"""', ""]
        for field, member in schema.get("properties", {}).items():
            kind = self.type_of(member, is_request=True)
            lines.append(f"    {field}: {kind if field in required else f'NotRequired[{kind}]'}")
        return "\n".join(lines)

    def named(self, name: str, *, is_request: bool) -> str:
        """Return what stands for a type of the contract: a dict, all the way down.

        Of a struct or a dict, a type checker says that neither fits, and not which member is misspelt.
        """
        if "x-quantity" in self.schemas[name]:
            return f"models.{name} | {self.dimension(name)}ValueDict"
        return f"{name}Dict" if self.is_struct(name) else f"models.{name}"

    def words(self, words: tuple[Any, ...]) -> str:
        """Return the Python name of a list of words."""
        return f"models.{super().words(words)}"
