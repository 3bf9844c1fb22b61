"""Say which numbers of the worked answers in a contract have moved since an older one.

Only answers to the same request count, in the words of the newer contract, and none at all once the model version is
another, for that announces it.
"""

import math
from collections.abc import Iterator, Mapping
from typing import Any, TypeAlias, TypeGuard, cast

from renames import Renames

Node: TypeAlias = Mapping[str, Any]

SAME = 1e-5
"""Numbers this close [1] are the same: worked answers are written with six digits."""
NOTHING = 1e-9
"""Numbers this small are all nothing, such as what is left of a sum that is 0."""
_WORDS = {"about"}
"""Members that may say more from one version to the next."""


def model(document: Node) -> str:
    """Return the model version that the worked answers of a contract say."""
    return _worked_answer(document["paths"]["/v1/match"]["post"])["about"]["model"]


def moved(old: Node, new: Node) -> list[str]:
    """Return which numbers of the worked answers in `old` are others in `new` under the same model, one line each."""
    found: list[str] = []
    if model(old) != model(new):
        return found
    renames = Renames(new)
    for path, item in old["paths"].items():
        for method, before in item.items():
            after = new["paths"].get(path, {}).get(method)
            if after is None or _request_in_new_words(before, old, renames) != _worked_request(after):
                continue
            was, now = _worked_answer(before), _worked_answer(after)
            if now is None and "pictures" in after["tags"]:
                continue  # whose numbers are those of the calculation it shows
            found += [f"{method.upper()} {path}: {line}" for line in _differences(was, now, "")]
    return found


def _request_in_new_words(operation: Node, document: Node, renames: Renames) -> Any:
    content = operation.get("requestBody", {}).get("content", {})
    schema = content.get("application/json", {}).get("schema", {})
    return renames.in_new_words(_worked_request(operation), schema, document)


def _worked_request(operation: Node) -> Any:
    return _worked(operation.get("requestBody", {}))


def _worked_answer(operation: Node) -> Any:
    return _worked(operation["responses"].get("200", {}))


def _worked(where: Node) -> Any:
    return where.get("content", {}).get("application/json", {}).get("examples", {}).get("worked", {}).get("value")


def _differences(was: Any, now: Any, pointer: str) -> Iterator[str]:
    if isinstance(was, dict) and isinstance(now, dict):
        before, after = cast("dict[str, Any]", was), cast("dict[str, Any]", now)
        for name in sorted((before.keys() & after.keys()) - _WORDS):
            yield from _differences(before[name], after[name], f"{pointer}/{name}")
    elif isinstance(was, list) and isinstance(now, list):
        items = cast("list[Any]", was), cast("list[Any]", now)
        if len(items[0]) != len(items[1]):
            yield f"{pointer}: {len(items[0])} items became {len(items[1])}"
        for index, (one, other) in enumerate(zip(*items, strict=False)):
            yield from _differences(one, other, f"{pointer}/{index}")
    elif _is_number(was) and _is_number(now) and not math.isclose(was, now, rel_tol=SAME, abs_tol=NOTHING):
        yield f"{pointer}: {was:g} became {now:g}"
    elif (was is None) != (now is None):
        yield f"{pointer}: {was} became {now}"


def _is_number(value: Any) -> TypeGuard[float]:
    return isinstance(value, int | float) and not isinstance(value, bool)
