"""Old names for the SDK, from the contract: keywords of requests, ids of rows, members of answers that go."""

from collections.abc import Mapping
from typing import Any

from renames import LIST
from sdk_client import formatted

_HEADER = '''\
"""Names that were changed. Generated from the contract: run `python openapi/generate.py`."""

from collections.abc import Mapping
from typing import Final

'''


def names(contract: Mapping[str, Any]) -> str:
    """Return the source of drawbar._names for a contract."""
    said = contract[LIST]
    members: dict[str, dict[str, str]] = {}
    for one in said["members"]:
        for kind in one["of"]:
            members.setdefault(kind, {})[one["old"]] = one["new"]
    rows: dict[str, dict[str, str]] = {}
    for one in said["rows"]:
        rows.setdefault(one["table"], {})[one["old"]] = one["new"]
    going = {
        kind: sorted(gone)
        for kind, schema in contract["components"]["schemas"].items()
        if (gone := [name for name, member in schema.get("properties", {}).items() if member.get("deprecated")])
    }
    return formatted(
        f"{_HEADER}MEMBERS: Final[Mapping[str, Mapping[str, str]]] = {dict(sorted(members.items()))!r}\n"
        '"""New names of members of requests by their old ones, by type."""\n'
        f"ROWS: Final[Mapping[str, Mapping[str, str]]] = {rows!r}\n"
        '"""New ids of rows by their old ones, by table."""\n'
        f"GOING: Final[Mapping[str, list[str]]] = {going!r}\n"
        '"""Members of answers that have a new name beside them, by type; people are shown the new ones only."""\n'
    )
