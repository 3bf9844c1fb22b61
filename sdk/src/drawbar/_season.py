"""The season of a farm file, put together as a request."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any, Final, cast

from drawbar._farm import BadFile, Case, Farm, Table, dotted, unknown
from drawbar.errors import Fault

_WINDOW: Final = ("start", "end", "workday", "suitable", "days_off", "freeze_up", "freeze_up_spread")
_WHOLE: Final = ("prices", "driving", "record", "so_far", "alternatives", "yearly_cost")
"""Members that are those of the request."""
_FLEET: Final = ("operators", "limits")
_MEANT: Final[Mapping[str, str]] = {
    **dict.fromkeys(("finish_by", "until", "to", "deadline", "last_day"), "end"),
    **dict.fromkeys(("begin", "from", "first_day"), "start"),
}
"""Members for what others call otherwise."""
_NAMED: Final = ("tractors", "implements", "fields", "work")
_MEMBERS: Final = (*_WINDOW, *_FLEET, *_WHOLE, *_NAMED)
_OF_THE_SEASON: Final = ("workday",)
"""Members of a field of the farm that the season states for all of them."""


def season_case(farm: Farm) -> Case:
    """Put the request of a farm's season together: all its tractors, and the implements and fields that work names.

    Parameters
    ----------
    farm
        A farm file with a [season].

    Raises
    ------
    BadFile
        If it has none, or names what the file does not have.
    """
    season = farm.season
    if season is None:
        raise BadFile(farm.file, Fault("season", "is not in the file; add [season] and a [season.work.NAME] or more"))
    faults = [
        Fault(dotted(["season", member]), unknown("member of a season", member, _MEMBERS, _MEANT.get(member)))
        for member in season
        if member not in _MEMBERS
    ]
    tables = {member: _tables(season, member, faults) for member in _NAMED}
    works = tables["work"]
    if not works:
        faults.append(Fault("season.work", "has none; add [season.work.NAME] with its fields and implements"))
    wanted = {
        "tractors": farm.names("tractors"),
        "implements": _named_by(works, "implements"),
        "fields": _named_by(works, "fields"),
    }
    for kind in wanted:
        known = farm.names(kind)
        faults += [
            Fault(dotted(["season", kind, name]), unknown(kind[:-1], name, known))
            for name in tables[kind]
            if name not in known
        ]
        for work, table in works.items():
            for place, name in enumerate(_list(table.get(kind))):
                if name not in known:
                    at = dotted([kind, str(place)], dotted(["season", "work", work]))
                    faults.append(Fault(at, unknown(kind[:-1], str(name), known)))
    if faults:
        raise BadFile(farm.file, *faults)
    places: dict[str, str] = {f"/window/{member}": f"season.{member}" for member in _WINDOW}
    places |= {f"/fleet/{member}": f"season.{member}" for member in _FLEET} | {
        f"/{member}": f"season.{member}" for member in _WHOLE
    }
    fleet: Table = {member: season[member] for member in _FLEET if member in season}
    for kind in ("tractors", "implements"):
        fleet[kind] = []
        for place, name in enumerate(wanted[kind]):
            fleet[kind].append({"name": name, kind[:-1]: farm.tables[kind][name], **tables[kind].get(name, {})})
            places[f"/fleet/{kind}/{place}"] = dotted(["season", kind, name])
            places[f"/fleet/{kind}/{place}/{kind[:-1]}"] = dotted([kind, name])
    body: Table = {
        "fleet": fleet,
        "fields": [],
        "work": [{"name": name, **table} for name, table in works.items()],
        "window": {member: season[member] for member in _WINDOW if member in season},
    }
    body |= {member: season[member] for member in _WHOLE if member in season}
    if isinstance(body.get("alternatives"), list):
        given = cast("list[object]", body["alternatives"])
        body["alternatives"] = [_alternative(farm, one, tables) for one in given]
        for number, (one, asked) in enumerate(zip(given, body["alternatives"], strict=True)):
            if asked is not one:
                places |= _places_of_machines(asked["fleet"], f"/alternatives/{number}")
    for place, name in enumerate(wanted["fields"]):
        land = {member: value for member, value in farm.tables["fields"][name].items() if member not in _OF_THE_SEASON}
        timely = tables["fields"].get(name, {})
        body["fields"].append({"name": name, **land, **timely})
        places[f"/fields/{place}"] = dotted(["fields", name])
        for member in ("ready", "due", "daily_loss", *timely):
            places[f"/fields/{place}/{member}"] = dotted(["season", "fields", name, member])
    places |= {f"/work/{place}": dotted(["season", "work", name]) for place, name in enumerate(works)}
    if farm.own_tables is not None:
        body["tables"] = farm.own_tables
    return Case("season", body, places, {})


def _alternative(farm: Farm, given: object, tables: Mapping[str, Mapping[str, Table]]) -> Any:
    """Return an alternative with the machines it names by `tractors` and `implements` as a fleet of its own."""
    if not isinstance(given, dict):
        return given
    alternative = cast("Table", given)
    fleet: Table = {member: alternative[member] for member in _FLEET if member in alternative}
    kinds = [kind for kind in ("tractors", "implements") if isinstance(alternative.get(kind), list)]
    if not kinds:
        return alternative
    for kind in ("tractors", "implements"):
        names = _list(alternative.get(kind)) if kind in kinds else _named_by(tables["work"], kind)
        fleet[kind] = [
            {"name": name, kind[:-1]: farm.tables[kind].get(str(name), {}), **tables[kind].get(str(name), {})}
            for name in names
        ]
    kept = {member: value for member, value in alternative.items() if member not in (*kinds, *_FLEET)}
    return {**kept, "fleet": fleet}


def _places_of_machines(fleet: Table, at: str) -> dict[str, str]:
    """Return where the machines of an alternative stand in the file: where those of the season do."""
    found: dict[str, str] = {}
    for kind in ("tractors", "implements"):
        for place, machine in enumerate(fleet[kind]):
            here, name = f"{at}/fleet/{kind}/{place}", str(machine["name"])
            found |= {here: dotted(["season", kind, name]), f"{here}/{kind[:-1]}": dotted([kind, name])}
    return found


def _tables(season: Table, member: str, faults: list[Fault]) -> Mapping[str, Table]:
    found: object = season.get(member, {})
    tables = cast("dict[str, object]", found) if isinstance(found, dict) else {"": found}
    wrong = [name for name, table in tables.items() if not isinstance(table, dict)]
    faults += [
        Fault(dotted(filter(None, ["season", member, name])), f"must be a table: [season.{member}.NAME]")
        for name in wrong
    ]
    return {name: cast("Table", table) for name, table in tables.items() if name not in wrong}


def _named_by(works: Mapping[str, Table], kind: str) -> list[str]:
    """List what works name of a kind, each once, in the order of the file."""
    names: Iterable[object] = (name for table in works.values() for name in _list(table.get(kind)))
    return list(dict.fromkeys(str(name) for name in names))


def _list(value: object) -> list[Any]:
    # What is no list of names is left to the service, which says what belongs there.
    return cast("list[Any]", value) if isinstance(value, list) else []
