"""What the SDK offers for every calculation, from the contract: its operation, its method, and a line of help."""

from collections.abc import Iterator, Mapping
from typing import Any, NamedTuple

from sdk_client import formatted

Schema = Mapping[str, Any]


class _Asked(NamedTuple):
    name: str
    """Of the method."""
    path: str
    summary: str
    request: str
    answer: str
    about_request: str

    @property
    def constant(self) -> str:
        return self.name.upper()


def _all_asked(contract: Schema) -> Iterator[_Asked]:
    schemas = contract["components"]["schemas"]
    for path, item in contract["paths"].items():
        if "post" not in item or "{" in path:
            continue
        operation = item["post"]
        request, answer = (
            part["content"]["application/json"]["schema"]["$ref"].rpartition("/")[2]
            for part in (operation["requestBody"], operation["responses"]["200"])
        )
        yield _Asked(
            operation["operationId"], path, operation["summary"], request, answer, schemas[request]["description"]
        )


def operations(contract: Schema) -> str:
    """Return the module of operations that calculate."""
    lines = [
        '"""Operations that calculate. Generated from the contract: run `python openapi/generate.py`."""',
        "",
        "from collections.abc import Mapping",
        "from typing import Any, Final",
        "",
        "from drawbar import models",
        "from drawbar._wire import Operation",
        "",
    ]
    every = list(_all_asked(contract))
    lines += [f'{one.constant}: Final = Operation("POST", "{one.path}", models.{one.answer})' for one in every]
    lines.append("CALCULATIONS: Final[Mapping[str, tuple[Operation[Any], str]]] = {")
    for one in every:
        *folders, name = one.path.split("/")[2:]
        if not folders:
            lines.append(f'    "{name}": ({one.constant}, "{one.summary}"),')
    lines += ["}", '"""Operations and what each answers, by the name of the calculation."""']
    return formatted("\n".join(lines))


def _head(one: _Asked, request: str) -> str:
    return f"    async def {one.name}(self, request: {request}, *, units: Units | None = None) -> {one.answer}:"


def methods(contract: Schema) -> str:
    """Return the module of the async client's methods that calculate."""
    every = list(_all_asked(contract))
    names = sorted({name for one in every for name in (one.request, one.answer)})
    asked = sorted({one.request for one in every})
    lines = [
        '"""What an async client calculates. Generated from the contract: run `python openapi/generate.py`."""',
        "",
        "from __future__ import annotations",
        "",
        "from typing import TYPE_CHECKING, overload",
        "",
        "from drawbar import _calculations as calculations",
        "from drawbar._async_core import AsyncCore",
        "from drawbar._options import Units",
        f"from drawbar.models import ({', '.join(names)},)",
        "",
        "if TYPE_CHECKING:",
        f"    from drawbar.dicts import ({', '.join(f'{name}Dict' for name in asked)},)",
        "",
        "",
        "class AsyncCalculations(AsyncCore):",
        '    """The calculations of `drawbar.AsyncClient`."""',
    ]
    for one in every:
        # Of a choice of both, a type checker does not say which member is misspelt.
        for kind in (one.request, f"{one.request}Dict"):
            lines += ["", "    @overload", _head(one, kind) + " ..."]
        lines += [
            "",
            _head(one, f"{one.request} | {one.request}Dict"),
            f'        """Ask `{one.path}`: {one.summary[:1].lower()}{one.summary[1:]}.',
            "",
            "        Parameters",
            "        ----------",
            "        request",
            f"            {one.about_request}",
            "        units",
            "            Units of this answer; None for the client's.",
            "",
            "        Raises",
            "        ------",
            "        ImpossibleInput",
            "            If a value cannot be; `problem.errors` points to each.",
            '        """',
            f"        return await self._call(calculations.{one.constant}, request, units)",
        ]
    return formatted("\n".join(lines) + "\n")
