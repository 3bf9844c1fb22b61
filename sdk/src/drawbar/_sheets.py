"""Answers in words and columns, for people. Nothing here asks, computes or prints."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from itertools import groupby
from typing import Any, Final, TypeAlias, cast

import msgspec

from drawbar._limits import SHORT, STOPS, VERDICTS
from drawbar._renamed import current_members
from drawbar._text import columns, wrapped
from drawbar.models import (
    About,
    Assumption,
    DownhillAnswer,
    FieldPlan,
    GearChoice,
    GreatestAnswer,
    MatchAnswer,
    OddsAnswer,
    Reading,
    SourcesAnswer,
    TablesAnswer,
    WholeTableAnswer,
)
from drawbar.quantities import rounded

Place: TypeAlias = Callable[[str], str]

_LABEL: Final = 16
_WIDE: Final = 100
_NARROW = 66
_INDENT: Final = "  "


def short(reading: Reading | None) -> str:
    """Write a reading without its range.

    Parameters
    ----------
    reading
        A reading, or None for a dash.
    """
    return str(type(reading)(reading.value, reading.unit)) if reading is not None else "-"


def limit_word(name: str) -> str:
    """Name a limit in a word or two.

    Parameters
    ----------
    name
        The limit, as answers name it.
    """
    return SHORT.get(name, name)


def _in_hundred(chance: Reading) -> str:
    """Write a chance in words."""
    return f"{_count(chance)} in 100".replace(">", "over ").replace("<", "under ")


def _count(chance: Reading) -> str:
    """Write a chance as cases of 100; never more than it is, and never as certain."""
    if chance.value > 99.0:
        return ">99"
    return "<1" if chance.value < 1.0 else str(math.floor(chance.value + 1e-3))


def match_sheet(answer: MatchAnswer, title: str, place: Place, width: int) -> list[str]:
    """Tell a match in full, the verdict first.

    Parameters
    ----------
    answer
        The answer.
    title
        What was asked about; may be empty.
    place
        Tells where in the file the value of a JSON Pointer stands.
    width
        Longest line.
    """
    work, area, fuel = answer.at_work, answer.capacity, answer.fuel
    rows: list[tuple[str, str]] = []
    per_width = answer.draft.per_width if answer.draft is not None else None
    rows.append(("Pull", f"{work.pull} at the hitch" + (f"; draft {short(per_width)} of width" if per_width else "")))
    if answer.draft is not None and len(answer.draft.tools) > 1:
        rows += [("", f"{tool.draft} for {tool.tool} ({100 * tool.share:.0f} %)") for tool in answer.draft.tools]
    if work.forbidden_by is not None:
        rows.append(("Slip, power", f"none: {STOPS.get(work.forbidden_by, work.forbidden_by)}"))
    if work.slip is not None:
        rows.append(("Slip", f"{work.slip}; works best at {_span(work.slip_band)}"))
    if work.pto_power is not None:
        rows.append(("Power", f"{work.pto_power} at the PTO, {short(work.load_fraction)} of rated"))
        rows.append(("", f"{short(work.drawbar_power)} arrives at the drawbar{_others(work.other_power)}"))
    if work.downhill is not None:
        rows.append(("Downhill", _downhill(work.downhill)))
    if fuel is not None and _falls_short(work.load_fraction):
        rows.append(("", "Where the soil pulls as hard as the upper end, power falls short."))
    if fuel is not None:
        field = f", {short(fuel.total)} for the field" if fuel.total is not None else ""
        rows.append(("Fuel", f"{short(fuel.rate)}, {short(fuel.per_area)}{field}"))
    else:
        rows.append(("Fuel", "not told: the tractor has not the power for this"))
    spread = "" if area.efficiency.low is None else ", as fields and driving differ"
    if fuel is None:
        rows.append(("Area", "not told either, for the same reason"))
    else:
        rows.append(("Area", f"{area.effective} at {short(area.efficiency)} field efficiency{spread}"))
    if fuel is not None and area.per_day is not None:
        rows.append(("", f"{short(area.per_day)} a day"))
    if fuel is not None and area.time is not None:
        rows.append(
            (
                "",
                f"{short(area.time)} for the field" + (f", {rounded(area.days)} days" if area.days is not None else ""),
            )
        )
    lines = [title, ""] if title else []
    lines += wrapped(answer.verdict.summary, width)
    lines += ["", *_rows(rows, width)]
    shown = (work.pull, work.pto_power)
    if any(reading is not None and reading.low not in (None, reading.value) for reading in shown):
        lines.append("")
        lines += wrapped("In brackets: the range that the tables give for soils and machines of this kind.", width)
    lines += _headed("Odds", _odds(answer.odds, width), width)
    lines += _headed("Limits", columns(_limits(answer), width, indent=_INDENT), width)
    lines += _headed(
        "How far it would hold, one thing changed at a time", _greatest(answer.greatest, place, width), width
    )
    lines += _headed("Gears", _gears(answer.gear, width), width)
    return lines + about_lines(answer.about, place, width)


def _falls_short(load: Reading | None) -> bool:
    return load is not None and load.high is not None and load.high > 100.0


def jobs_table(answers: Mapping[str, tuple[Mapping[str, str], MatchAnswer]], width: int) -> list[str]:
    """Tell each match in one row; a narrow table leaves out what the farm file says itself.

    Parameters
    ----------
    answers
        By job: the names of its tractor, implement and field, and the answer.
    width
        Longest line.
    """
    rows = [
        {
            "job": name,
            "tractor": parts["tractor"],
            "implement": parts["implement"],
            "verdict": VERDICTS.get(answer.verdict.word, answer.verdict.word),
            "in 100": _count(answer.verdict.chance) if answer.verdict.chance is not None else "-",
            "speed": short(answer.at_work.speed),
            "slip": short(answer.at_work.slip),
            "load": short(answer.at_work.load_fraction),
            "area": short(answer.capacity.effective) if answer.fuel is not None else "-",
            "fuel": short(answer.fuel.per_area) if answer.fuel is not None else "-",
            "limit": limit_word(answer.verdict.binding),
        }
        for name, (parts, answer) in answers.items()
    ]
    header = list(rows[0])
    if width < _WIDE:
        header = [name for name in header if name not in ("tractor", "implement", "slip")]
    if width < _NARROW:
        header = [name for name in header if name not in ("load", "area")]
    lines = columns([[row[name] for name in header] for row in rows], width, header=header)
    hint = (
        "`--job NAME` tells one in full. In 100: in how many cases every limit is kept. Load: of the rated PTO power. "
        "Limit: broken, or nearest to it."
    )
    return [*lines, "", *wrapped(hint, width)]


def speed_cell(answer: MatchAnswer) -> str:
    """Tell the greatest speed of a pair that holds, the verdict there and what stops it; or that none holds.

    Where none does, the verdict is that of the speed of the answer, the greatest by the central figures.

    Parameters
    ----------
    answer
        Answer to a request without a speed.
    """
    verdict = answer.verdict
    word = VERDICTS.get(verdict.word, verdict.word)
    count = f" {_count(verdict.chance)}" if verdict.chance is not None else ""
    none = "" if verdict.word == "holds" else "none holds; "
    return f"{none}{short(answer.at_work.speed)} {word}{count}, {limit_word(verdict.binding)}"


def sheet(answer: msgspec.Struct, place: Place, width: int) -> list[str]:
    """Tell any answer, member by member.

    Parameters
    ----------
    answer
        The answer.
    place
        Tells where in the file the value of a JSON Pointer stands.
    width
        Longest line.
    """
    lines = _members(answer, width, "")
    about = getattr(answer, "about", None)
    return lines + (about_lines(about, place, width) if isinstance(about, About) else [])


def about_lines(about: About, place: Place, width: int) -> list[str]:
    """Tell what was assumed, what to beware of, and the sources.

    Parameters
    ----------
    about
        What an answer says about itself.
    place
        Tells where in the file the value of a JSON Pointer stands.
    width
        Longest line.
    """
    lines: list[str] = []
    if about.warnings:
        lines += ["", "Beware"]
        for notice in about.warnings:
            where = f"{place(notice.pointer)}: " if notice.pointer else ""
            lines += _bullet(f"{where}{notice.detail}", width)
    head = "Assumed where nothing is said; to change one, write your value at the place named"
    lines += _headed(head, _assumed(about, place, width), width)
    if about.cautions:
        lines += ["", "Mind"]
        for caution in about.cautions:
            lines += _bullet(caution, width)
    lines += ["", *wrapped(f"Sources: {', '.join(about.sources)}. `drawbar sources` describes them.", width)]
    return lines


def tables_list(answer: TablesAnswer, width: int) -> list[str]:
    """List the reference tables.

    Parameters
    ----------
    answer
        The tables.
    width
        Longest line.
    """
    rows = [(table.id, str(table.rows), table.title) for table in answer.tables]
    return [*columns(rows, width, header=("id", "rows", "what it is")), "", "`drawbar tables ID` shows one whole."]


_PROVENANCE = ("basis", "source")
"""Columns that say where a figure comes from."""


def table_rows(answer: WholeTableAnswer, width: int, wanted: Sequence[str] = ()) -> list[str]:
    """Show the rows of a reference table, without what is the same in all of them and what there is no room for.

    Parameters
    ----------
    answer
        The table.
    width
        Longest line.
    wanted
        Names of the columns to show; none for those that fit.

    Raises
    ------
    ValueError
        If there is no such column.
    """
    units = {column.name: column.unit for column in answer.columns}
    unknown = [name for name in wanted if name not in units]
    if unknown:
        raise ValueError(f"no column {unknown[0]!r}; there are {', '.join(units)}")
    cells = {name: [_cell(row.get(name)) for row in answer.rows] for name in units}
    same = {} if wanted or len(answer.rows) == 1 else {name: of[0] for name, of in cells.items() if len(set(of)) == 1}
    shown = list(wanted) or [name for name in cells if name not in same and name != "note"]

    def size(name: str) -> int:
        return max(map(len, (name, *cells[name])))

    while not wanted and sum(map(size, shown)) + 2 * (len(shown) - 1) > width:
        # The id says in short what texts say at length, so these give way first; where a figure comes from before them.
        texts = [name for name in shown[1:] if any(isinstance(row.get(name), str | bool) for row in answer.rows)]
        if not texts:
            break
        shown.remove(max(texts, key=lambda name: (name in _PROVENANCE, size(name))))
    lines = [answer.title, ""]
    if sum(map(size, shown)) + 2 * (len(shown) - 1) <= width:
        lines += columns(zip(*(cells[name] for name in shown), strict=True), width, header=shown)
    else:
        lines += _stacked(shown, cells, width)
    lines.append("")
    measured = [f"{name} {units[name]}" for name in shown if units[name]]
    if measured:
        lines += wrapped(f"Units: {', '.join(measured)}.", width)
    told = [f"{name} {value}" for name, value in same.items() if value]
    if told:
        lines += wrapped(f"In every row: {'; '.join(told)}.", width)
    left_out = [name for name in cells if name not in shown and name not in same]
    if left_out:
        lines += wrapped(f"Left out: {', '.join(left_out)}. `--verbose` shows all and what it means.", width)
    return lines


def whole_table(answer: WholeTableAnswer, width: int) -> list[str]:
    """Show a reference table whole, with what its columns mean: in columns if they fit, else one row below the other.

    Parameters
    ----------
    answer
        The table.
    width
        Longest line.
    """
    named = [(column.name, column.meaning + (f" [{column.unit}]" if column.unit else "")) for column in answer.columns]
    lines = [answer.title, "", *wrapped(answer.description, width), "", "Columns"]
    lines += columns(named, width, indent=_INDENT)
    names = [column.name for column in answer.columns]
    cells = {name: [_cell(row.get(name)) for row in answer.rows] for name in names}
    widest = [max(map(len, (name, *cells[name]))) for name in names]
    if sum(widest) + 2 * (len(names) - 1) <= width:
        return [*lines, "", *columns(zip(*cells.values(), strict=True), width, header=names)]
    return [*lines, "", *_stacked(names, cells, width)]


def _stacked(names: Sequence[str], cells: Mapping[str, Sequence[str]], width: int) -> list[str]:
    first, *others = names
    lines: list[str] = []
    for number, title in enumerate(cells[first]):
        told = [f"{name} {cells[name][number]}" for name in others if cells[name][number]]
        lines += [title, *wrapped("; ".join(told), width, _INDENT), ""]
    return lines[:-1]


def sources_list(answer: SourcesAnswer, width: int) -> list[str]:
    """List the sources, each with how it was read.

    Parameters
    ----------
    answer
        The sources.
    width
        Longest line.
    """
    lines: list[str] = []
    for source in answer.sources:
        where = ", ".join(part for part in (source.publisher, source.edition) if part)
        lines += [f"{source.id} ({source.basis})"]
        lines += wrapped(
            ". ".join(part.rstrip(".") for part in (source.title, where, source.note) if part) + ".", width, _INDENT
        )
        lines.append("")
    return lines[:-1]


def _span(ends: Sequence[Reading]) -> str:
    return " to ".join(str(end) for end in ends)


def _others(other: Reading) -> str:
    return f"; {short(other)} goes into PTO drive, oil and electrics" if other.value else ""


def _headed(head: str, lines: list[str], width: int) -> list[str]:
    return ["", *wrapped(head, width), *lines] if lines else []


def _rows(rows: Iterable[tuple[str, str]], width: int) -> list[str]:
    lines: list[str] = []
    for label, text in rows:
        first, *rest = wrapped(text, width, " " * _LABEL)
        lines += [f"{label:<{_LABEL}}{first.lstrip()}", *rest]
    return lines


def _bullet(text: str, width: int) -> list[str]:
    first, *rest = wrapped(text, width, "    ")
    return [f"  - {first.lstrip()}", *rest]


def _limits(answer: MatchAnswer) -> list[tuple[str, str, str, str]]:
    rows: list[tuple[str, str, str, str]] = []
    for limit in answer.limits:
        percent = round(abs(limit.margin.value))
        margin = f"{percent} % to spare" if limit.kept else f"by {percent or 'under 1'} %"
        rows.append((limit_word(limit.name), "kept" if limit.kept else "BROKEN", margin, limit.detail))
    return rows


def _odds(odds: OddsAnswer | None, width: int) -> list[str]:
    if odds is None:
        return []
    rows = [
        ("every limit kept", f"{_in_hundred(odds.holds_speed.value)} at this speed"),
        (
            "slip at its best",
            f"{odds.slip_in_band.value.value:.0f} in 100; less slip in {odds.slip_below_band.value.value:.0f}",
        ),
        ("speed it can hold", str(odds.held_speed)),
        ("area", str(odds.capacity)),
        ("fuel", str(odds.fuel_per_area)),
    ]
    return columns(rows, width, indent=_INDENT) + wrapped("In brackets: where 90 in 100 fall.", width, _INDENT)


def _greatest(greatest: GreatestAnswer, place: Place, width: int) -> list[str]:
    rows: list[tuple[str, str]] = []
    speed, wide, depth = greatest.speed, greatest.width, greatest.depth
    if speed is not None:
        slow = "" if speed.value is None or speed.within_tool_range else ": too slow for the tool"
        rows.append(("speed", _up_to(_most(speed.holds), _most(speed.value), "", speed.limited_by) + slow))
    if wide is not None:
        holds, central = _most(wide.holds, wide.holds_count), _most(wide.value, wide.count)
        rows.append(("width", _up_to(holds, central, _at(wide.at_speed), wide.limited_by)))
    if depth is not None:
        more = f" for {place(depth.pointer)}{_at(depth.at_speed)}"
        rows.append(("depth", _up_to(_most(depth.holds), _most(depth.value), more, depth.limited_by)))
    return columns(rows, width, indent=_INDENT)


def _at(speed: Reading) -> str:
    return f" at {short(speed)}"


def _most(value: Reading | None, count: int | None = None) -> str:
    """Write the greatest of something, and how many tools that is; empty where there is none."""
    if value is None:
        return ""
    return short(value) + (f" ({count} tools)" if count is not None else "")


def _up_to(holds: str, central: str, more: str, limit: str) -> str:
    stop = STOPS.get(limit, limit)
    kept = f"up to {holds} holds" if holds else "none holds"
    return f"{kept}{more}; " + (f"by the central figures {central}, where {stop}" if central else stop)


def _downhill(down: DownhillAnswer) -> str:
    braking = f", the wheels hold back {short(down.braking)}" if down.braking is not None and down.braking.value else ""
    return f"pull {short(down.pull)}{braking}"


def _gears(choice: GearChoice | None, width: int) -> list[str]:
    if choice is None:
        return []
    rows: list[tuple[str, str, str, str]] = []
    for gear in choice.gears:
        told = short(gear.fuel)
        if not gear.possible:
            told = "no: engine too fast" if gear.engine_speed.value > 100.0 else "no: engine would labor"
        best = ", burns least" if gear.name == choice.best else ""
        rows.append((gear.name, f"engine at {short(gear.engine_speed)}", f"loaded {short(gear.load)}", told + best))
    return columns(rows, width, indent=_INDENT)


def _assumed(about: About, place: Place, width: int) -> list[str]:
    def owner(entry: tuple[str, Assumption]) -> str:
        return _split(entry[0])[0]

    lines: list[str] = []
    entries = sorted(((place(each.pointer), each) for each in about.assumptions), key=owner)
    for head, group in groupby(entries, key=owner):
        rows = [(_split(where)[1], each.value, f"{each.why} [{each.source}]") for where, each in group]
        if head:
            lines.append(f"{_INDENT}{head}")
        lines += columns(rows, width, indent=_INDENT * (2 if head else 1))
    return lines


def _split(where: str) -> tuple[str, str]:
    """Part a place in a file into the table it is in, named by two keys at most, and the rest."""
    keys = where.split(".")
    owned = min(2, len(keys) - 1)
    return ".".join(keys[:owned]), ".".join(keys[owned:])


def _members(value: msgspec.Struct, width: int, indent: str) -> list[str]:
    lines: list[str] = []
    for name in current_members(value):
        member: object = getattr(value, name)
        label = name.replace("_", " ").replace("pto", "PTO")
        label = label if indent else label[:1].upper() + label[1:]
        if member is None or isinstance(member, About) or member == []:
            continue
        if isinstance(member, FieldPlan):
            count = len(member.features)
            lines += _labelled(label, f"{count} lines for a map; --json gives them", width, indent)
        elif isinstance(member, list) and isinstance(cast("list[Any]", member)[0], Reading):
            lines += _labelled(label, _span(cast("list[Reading]", member)), width, indent)
        elif isinstance(member, list) and not isinstance(cast("list[Any]", member)[0], msgspec.Struct):
            lines += _labelled(label, ", ".join(_cell(one) for one in cast("list[object]", member)), width, indent)
        elif isinstance(member, list):
            items = cast("list[msgspec.Struct]", member)
            if any(_nests(item) for item in items):
                for number, item in enumerate(items, 1):
                    lines += [f"{indent}{label} {number}", *_members(item, width, indent + _INDENT)]
                continue
            names = current_members(items[0])
            rows = [[_cell(getattr(item, name)) for name in names] for item in items]
            lines.append(f"{indent}{label}")
            lines += columns(rows, width, header=[name.replace("_", " ") for name in names], indent=indent + _INDENT)
        elif isinstance(member, msgspec.Struct) and not isinstance(member, Reading):
            lines += [f"{indent}{label}", *_members(member, width, indent + _INDENT)]
        else:
            lines += _labelled(label, _cell(member), width, indent)
    return lines


def _nests(item: msgspec.Struct) -> bool:
    """Whether an item has parts of its own, which a table row has no room for."""
    members: list[object] = [getattr(item, field.name) for field in msgspec.structs.fields(item)]
    return any(
        isinstance(one, list) or (isinstance(one, msgspec.Struct) and not isinstance(one, Reading)) for one in members
    )


def _labelled(label: str, text: str, width: int, indent: str) -> list[str]:
    hanging = indent + " " * 26
    first, *rest = wrapped(text, width, hanging)
    return [f"{indent}{label:<26}{first.lstrip()}", *rest]


def _cell(value: object) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    return rounded(value) if isinstance(value, float) else str(value)
