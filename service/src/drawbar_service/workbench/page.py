"""The page and its parts: what is rendered once from the tables, and the files as they are."""

import hashlib
import json
import tomllib
from collections.abc import Iterator, Mapping
from functools import cache
from importlib.resources import files
from typing import Any, NamedTuple, cast

from drawbar_service.api.calculations import CALCULATIONS, CURVES
from drawbar_service.api.renamed import NAMES, old_words
from drawbar_service.api.v1.match.request import MatchRequest
from drawbar_service.docs.markup import Markup, element
from drawbar_service.look import tokens
from drawbar_service.quantities import Quantity
from drawbar_service.reference import DRAFT
from drawbar_service.reference.tables import DraftRow
from drawbar_service.workbench.controls import GROUPS, Control, rendered
from drawbar_service.workbench.doors import DOORS, doors

_TYPES = {
    ".css": "text/css",
    ".js": "text/javascript",
    ".mjs": "text/javascript",
    ".svg": "image/svg+xml",
    ".webmanifest": "application/manifest+json",
}
_WORKER = "offline-worker.js"
_SOIL = "soil"
_SHANKS = ("shank", "shanks")
_ROWS = ("row", "rows")
_CALLED = {"coulter": ("coulter", "coulters"), "knife-applicator": ("knife", "knives")}
_LATER = ("main.js", "watch.js", "toml.js", "card.js", "doors.js")
"""Scripts that are not fetched ahead: those the page names, and what only a farm file or a picture card needs. Nor are
those of the doors."""


class Part(NamedTuple):
    """A file as it is sent."""

    body: bytes
    media_type: str


@cache
def parts() -> Mapping[str, Part]:
    """Return the stylesheet and the scripts, by name."""
    found = {"tokens.css": Part(tokens().encode(), "text/css")}
    for entry in files("drawbar_service.workbench").iterdir():
        _, dot, ending = entry.name.rpartition(".")
        if dot + ending in _TYPES and entry.name != _WORKER:
            found[entry.name] = Part(entry.read_bytes(), _TYPES[dot + ending])
    return found


@cache
def edition() -> str:
    """Return what names the page and this set of parts; another set has another name, so any may be kept."""
    whole = b"".join(part.body for _, part in sorted(parts().items()))
    return hashlib.blake2b(whole + _unnamed_page().encode(), digest_size=8).hexdigest()


@cache
def worker() -> Part:
    """Return the script that keeps this edition of the page in a browser, for when there is no signal."""
    addresses = [f"workbench/{edition()}/{name}" for name in sorted(parts())]
    text = _file(_WORKER).replace("{{edition}}", edition()).replace("{{parts}}", json.dumps(addresses))
    return Part(text.encode(), _TYPES[".js"])


@cache
def page() -> Part:
    """Return the page itself."""
    return Part(_unnamed_page().replace("{{edition}}", edition()).encode(), "text/html")


@cache
def _unnamed_page() -> str:
    """Return the page without the name of its edition, which depends on it."""
    text = _file("index.html")
    for group, controls in GROUPS.items():
        text = text.replace(f"{{{{{group}}}}}", rendered(controls))
    text = text.replace("{{doors}}", doors())
    start = farm()["start"]
    text = text.replace("{{place}}", farm()["place"])
    for kind in ("tractor", "implement", "field"):
        # The scripts list the rest, in the units that are shown; this keeps its room until they are there.
        text = text.replace(f"{{{{{kind} names}}}}", element("option", spoken(start[kind]), value=start[kind]))
        text = text.replace(f"{{{{{kind} named}}}}", spoken(start[kind]))
    # The scripts that main.js asks for are fetched beside it, not after it.
    ahead = [
        element("link", rel="modulepreload", href=f"workbench/{{{{edition}}}}/{name}")
        for name in sorted(parts())
        if name.endswith(".js") and name not in _LATER and not name.startswith("door-")
    ]
    text = text.replace("{{scripts}}", "\n".join(ahead))
    # A closing tag inside the data would end it.
    data = Markup(json.dumps(lists(), ensure_ascii=False, separators=(",", ":")).replace("<", "\\u003c"))
    return text.replace("{{lists}}", data)


def spoken(name: str) -> str:
    """Return the name of a machine or field as it stands in a sentence."""
    return name.replace("-", " ").capitalize()


def farm(units: str = "metric") -> dict[str, Any]:
    """Return the farm the page starts with in a system of units, in which its figures are round."""
    return _toml("farm", units)


def _toml(name: str, units: str) -> dict[str, Any]:
    return tomllib.loads(_file(f"{name}.toml" if units == "metric" else f"{name}-{units}.toml"))


def every_control() -> Iterator[Control]:
    """Yield every control of the page, those behind doors too."""
    for controls in GROUPS.values():
        yield from controls
    for door in DOORS:
        for group in door.groups:
            yield from group.controls


def lists() -> dict[str, Any]:
    """Return what the scripts need to know of the service: units, ground tools, pictures, farms to start with."""
    kinds = {control.kind for control in every_control() if control.kind is not None}
    return {
        "kinds": {kind.__name__: _kind(kind) for kind in sorted(kinds, key=lambda kind: kind.__name__)},
        "units": {
            kind.dimension.name: {
                spelling: kind.dimension.factors[unit] for spelling, unit in kind.dimension.spellings.items()
            }
            for kind in kinds
        },
        "tools": {row.id: _tool(row) for row in DRAFT.rows.values()},
        "builds": tomllib.loads(_file("builds.toml")),
        "pictures": _pictures(),
        "farms": {units: _farm(farm(units) | {"doors": _toml("doors", units)}) for units in ("metric", "us")},
        "renamed": _renamed(),
    }


def _tool(row: DraftRow) -> dict[str, Any]:
    """Return what the page knows of a ground tool; `called` is what a grower calls one of them, and several."""
    called = _CALLED.get(row.id.partition(".")[0], _SHANKS) if row.counted_in == "tool" else _ROWS
    return {
        "by": row.counted_in,
        "depth": row.depth_counts,
        "called": called,
        "words": row.implement,
        "practice": row.practice,
    }


def _farm(given: dict[str, Any]) -> dict[str, Any]:
    return {"place": given["place"], "start": _start(given), "presets": _presets(given)}


def _renamed() -> dict[str, dict[str, str]]:
    """Return the new names of controls and the new ids of practices by their old ones, which links may have."""
    requests = {one.name: old_words(one.request) for one in CALCULATIONS}
    names: dict[str, str] = {}
    for control in every_control():
        calculation, _, place = control.name.partition("/")
        for one in NAMES.members if calculation in requests else ():
            old = "/".join(one.old if step == one.new else step for step in place.split("/"))
            if old != place and requests[calculation].pointer(f"/{old}")[0] == f"/{place}":
                names[f"{calculation}/{old}"] = control.name
    return {"names": names, "practices": {one.old: one.new for one in NAMES.rows if one.table == "practice"}}


def _pictures() -> list[str]:
    """Return the addresses that draw a match."""
    return [one.path.removeprefix("/") for one in CURVES if one.request is MatchRequest]


def _kind(kind: type[Quantity]) -> dict[str, str | bool]:
    return {"of": kind.dimension.name, "metric": kind.metric, "us": kind.us, "bare": kind.bare}


def _start(given: dict[str, Any]) -> dict[str, Any]:
    """Return what is chosen at the start, and the values of what belongs to no machine or field."""
    names = ("match", "completion", "page", "cost")
    values = {path: text for name in names for path, text in _leaves(name, given[name])} | given["doors"]["start"]
    return {"chosen": given["start"], "values": values}


def _presets(given: dict[str, Any]) -> dict[str, dict[str, dict[str, str]]]:
    """Return the values that each tractor, implement and field of the farm gives to controls."""
    presets: dict[str, dict[str, dict[str, str]]] = {"tractor": {}, "implement": {}, "field": {}}
    for place, kind in enumerate(("tractor", "implement")):
        for name, machine in given[f"{kind}s"].items():
            owned = given["owned"][f"{kind}s"][name]
            gears = {"gears": _gears(machine["gears"])} if "gears" in machine else {}
            presets[kind][name] = dict(_leaves(f"match/{kind}", machine | gears)) | dict(
                _leaves(f"cost/machines/{place}", owned)
            )
            presets[kind][name] |= given["doors"][f"{kind}s"].get(name, {})
    for name, field in given["fields"].items():
        rest = {key: value for key, value in field.items() if key != _SOIL}
        presets["field"][name] = dict(_leaves("match/soil", field[_SOIL])) | dict(_leaves("match/field", rest))
    return presets


def _gears(gears: list[dict[str, str]]) -> str:
    """Return gears as one control shows them: each with its speed."""
    return "; ".join(f"{gear['name']} {gear['speed']}" for gear in gears)


def _leaves(path: str, value: object) -> Iterator[tuple[str, str]]:
    """Yield the path and the text of every value within `value`."""
    if isinstance(value, dict | list):
        members = (
            cast("dict[str, object]", value).items()
            if isinstance(value, dict)
            else enumerate(cast("list[object]", value))
        )
        for key, member in members:
            yield from _leaves(f"{path}/{key}", member)
    else:
        yield path, str(value)


def _file(name: str) -> str:
    return (files("drawbar_service.workbench") / name).read_text(encoding="utf-8")
