"""POST /v1/sheet: what a match says, for the cab, with room to write down a trial run."""

from typing import Annotated, Literal, NamedTuple, TypeAlias

import msgspec
from msgspec import Meta

from drawbar_service.api.answers import AboutField, Answer, Ledger
from drawbar_service.api.calculation import Calculation
from drawbar_service.api.v1.calibration.request import CalibrationRun
from drawbar_service.api.v1.curves.curve import AFTER_MATCH, matched
from drawbar_service.api.v1.match import MATCH
from drawbar_service.api.v1.match.answer import MatchAnswer
from drawbar_service.api.v1.match.request import MatchRequest
from drawbar_service.api.v1.slip.answer import SlipRequest
from drawbar_service.model.limits import LimitName
from drawbar_service.model.match import Case
from drawbar_service.quantities import (
    Depth,
    EngineSpeedRatio,
    Flow,
    FuelRate,
    Length,
    OilPressure,
    Pull,
    Quantity,
    Ratio,
    ShortTime,
    Slope,
    Speed,
    WheelSlip,
    Width,
)

HTML = "text/html"

SlipWay: TypeAlias = Literal["turns", "times", "distances"]


class SheetLine(msgspec.Struct, frozen=True, kw_only=True):
    """One thing to set or to watch."""

    what: Annotated[str, Meta(description="What it is.")]
    value: Annotated[str, Meta(description="Its value, in words.")]
    note: Annotated[str, Meta(description="What to know about it; may be empty.")] = ""


class SheetBinding(msgspec.Struct, frozen=True, kw_only=True):
    """The limit that binds."""

    limit: Annotated[LimitName, Meta(description="The limit exceeded most, or nearest to being met.")]
    kept: Annotated[bool, Meta(description="Whether it is kept.")]
    detail: Annotated[str, Meta(description="Value and limit in words.")]


class TrialColumn(msgspec.Struct, frozen=True, kw_only=True):
    """A column to write a trial run in: a field of a run, as a request takes it."""

    field: Annotated[str, Meta(description="Name of the field.")]
    heading: Annotated[str, Meta(description="Heading of the column.")]
    unit: Annotated[str, Meta(description="Unit to write in; empty for a plain number.")]


class SlipColumns(msgspec.Struct, frozen=True, kw_only=True):
    """One way to measure slip, with its columns."""

    way: Annotated[SlipWay, Meta(description="Member of the request of `/v1/slip`.")]
    how: Annotated[str, Meta(description="How it is done.")]
    columns: Annotated[list[TrialColumn], Meta(description="Fields of its runs.")]


class TrialRuns(msgspec.Struct, frozen=True, kw_only=True):
    """What to write down in a trial run."""

    calibration: Annotated[list[TrialColumn], Meta(description="Fields of `runs` of `/v1/calibration`.")]
    errors: Annotated[
        list[TrialColumn], Meta(description="Fields for how well each reading is known: one standard deviation.")
    ]
    slip: Annotated[list[SlipColumns], Meta(description="Three ways to measure slip, for `/v1/slip`.")]


class SheetAnswer(Answer, frozen=True, kw_only=True):
    """What to set, what to watch and what to change, on one page."""

    title: Annotated[str, Meta(description="Title of the sheet.")]
    fits: Annotated[bool, Meta(description="Whether every limit is kept.")]
    summary: Annotated[str, Meta(description="The match in words.")]
    start_with: Annotated[list[SheetLine], Meta(description="Settings to start with, if it fits; else as asked.")]
    binds: Annotated[SheetBinding, Meta(description="What stops it first.")]
    watch: Annotated[list[SheetLine], Meta(description="What to watch at work.")]
    if_it_lugs: Annotated[list[str], Meta(description="What to change when the engine lugs, the first thing first.")]
    if_it_slips: Annotated[list[str], Meta(description="What to change when the wheels slip too much.")]
    trial: Annotated[TrialRuns, Meta(description="What to write down in a trial run.")]
    cautions: Annotated[list[str], Meta(description="Safety cautions; the manuals come first.")]
    source: Annotated[str, Meta(description="Source line of the sheet.")]
    about: AboutField


class _Heading(NamedTuple):
    """How a field of a run is headed."""

    text: str
    kind: type[Quantity] | None


_CALIBRATION: dict[str, _Heading] = {
    "speed": _Heading("Speed", Speed),
    "depth": _Heading("Depth", Depth),
    "slope": _Heading("Slope", Slope),
    "engine_speed": _Heading("Engine speed over full throttle", EngineSpeedRatio),
    "pull": _Heading("Pull", Pull),
    "slip": _Heading("Slip", WheelSlip),
    "fuel_rate": _Heading("Fuel", FuelRate),
    "engine_load": _Heading("Engine load", Ratio),
}
_SLIP: dict[SlipWay, tuple[str, str, type[Quantity] | None]] = {
    "turns": ("Count turns of a driven wheel over one marked distance", "Turns", None),
    "times": ("Time one marked distance, same gear and engine speed", "Time", ShortTime),
    "distances": ("Measure how far ten turns of a driven wheel go", "Distance", Length),
}


def compute(request: MatchRequest, ledger: Ledger) -> SheetAnswer:
    """Answer with a field sheet."""
    wanted = request.find if request.find is not None else ["speed", "width", "depth"]
    found = matched(msgspec.structs.replace(request, find=wanted), ledger)
    answer, case = found.answer, found.case
    binds = next(limit for limit in answer.limits if limit.name == answer.verdict.binding)
    about = ledger.about()
    return SheetAnswer(
        title=_title(request),
        fits=answer.verdict.fits,
        summary=answer.verdict.summary,
        start_with=_start_with(answer, case, request, ledger),
        binds=SheetBinding(
            limit=binds.name,
            kept=binds.kept,
            detail=binds.detail,
        ),
        watch=_watch(answer, case, ledger),
        if_it_lugs=_if_it_lugs(answer, case, ledger),
        if_it_slips=_if_it_slips(answer, request, ledger),
        trial=trial_runs(ledger),
        cautions=about.cautions,
        source=f"{AFTER_MATCH} What to change when it lugs or slips is common practice, no source.",
        about=about,
    )


def _title(request: MatchRequest) -> str:
    implement = request.implement.name or "implement"
    return f"{implement} behind {request.tractor.name or 'tractor'}"


def _start_with(answer: MatchAnswer, case: Case, request: MatchRequest, ledger: Ledger) -> list[SheetLine]:
    say, at_work = ledger.say, answer.at_work
    lines = [
        SheetLine(
            what="Ground speed",
            value=say(at_work.speed),
            note=(
                f"sound work from {say(Speed(case.speeds[0]))} to {say(Speed(case.speeds[1]))}"
                if case.speeds is not None
                else ""
            ),
        ),
        SheetLine(what="Working width", value=say(Width(case.width))),
    ]
    if answer.gear is not None:
        best = next((gear for gear in answer.gear.gears if gear.name == answer.gear.best and gear.possible), None)
        lines.append(
            SheetLine(what="Gear", value=best.name, note=f"engine at {say(best.engine_speed)} of full-throttle speed")
            if best is not None
            else SheetLine(what="Gear", value="none possible", note="no gear gives this speed with power to pull")
        )
    elif request.tractor.engine_speed is not None:
        lines.append(SheetLine(what="Engine speed", value=f"{say(request.tractor.engine_speed)} of full throttle"))
    lines.append(
        SheetLine(
            what="Ballast", value=_ballast(answer, ledger), note="the ballast calculation says how much and where"
        )
    )
    lines += [
        SheetLine(what=f"Depth, {draft.row.id}", value=say(Depth(draft.depth)))
        for draft in case.drafts
        if draft.depth is not None
    ]
    lines += [
        SheetLine(
            what=f"Oil{f', {need.name}' if need.name else ''}",
            value=f"{say(Flow(need.flow))} at {say(OilPressure(need.pressure))}",
            note="set the flow at the outlet",
        )
        for need in request.implement.hydraulic
    ]
    return lines


def _ballast(answer: MatchAnswer, ledger: Ledger) -> str:
    at_work = answer.at_work
    if at_work.slip is None:
        return "as it stands; slip is not reckoned on rubber tracks"
    low, high = at_work.slip_band
    if any(limit.name == "pull" and not limit.kept for limit in answer.limits):
        return "too light for this pull"
    if at_work.slip > high:
        return f"too light: {ledger.say(at_work.slip)} slip is above the band"
    if at_work.slip < low:
        return f"could be lighter: {ledger.say(at_work.slip)} slip is below the band"
    return "as it stands: slip is in its band"


def _ranged(quantity: Quantity, ledger: Ledger) -> str:
    if quantity.low is None or quantity.high is None or quantity.low == quantity.high:
        return ""
    kind = type(quantity)
    return f"{ledger.say(kind(quantity.low))} to {ledger.say(kind(quantity.high))} by the draft table's range"


def _watch(answer: MatchAnswer, case: Case, ledger: Ledger) -> list[SheetLine]:
    say, at_work = ledger.say, answer.at_work
    lines: list[SheetLine] = []
    if at_work.slip is not None:
        low, high = at_work.slip_band
        carried = all(limit.kept for limit in answer.limits if limit.name == "pull")
        expect = f"expect {say(at_work.slip)}" if carried else "no slip carries this pull"
        most = say(Ratio(float(case.limits.slip)))
        lines.append(
            SheetLine(what="Slip", value=f"{say(low)} to {say(high)}", note=f"{expect}; change something above {most}")
        )
    lines.append(
        SheetLine(what="Engine load", value=say(at_work.load_fraction), note=_ranged(at_work.load_fraction, ledger))
    )
    if answer.fuel is not None:
        lines += [
            SheetLine(what="Fuel in an hour", value=say(answer.fuel.rate), note=_ranged(answer.fuel.rate, ledger)),
            SheetLine(what="Fuel on the area", value=say(answer.fuel.per_area)),
        ]
    lines += [
        SheetLine(what="Area in an hour", value=say(answer.capacity.effective)),
        SheetLine(what="Pull at the hitch", value=say(at_work.pull), note=_ranged(at_work.pull, ledger)),
    ]
    return lines


def _if_it_lugs(answer: MatchAnswer, case: Case, ledger: Ledger) -> list[str]:
    """Usual practice of the trade (common practice, no source), with the numbers of this match where they help."""
    say, (depth, width) = ledger.say, (answer.greatest.depth, answer.greatest.width)
    shallower, narrower = "Work shallower.", "Take off width."
    if depth is not None and depth.value is not None:
        asked = next(draft.depth for draft in case.drafts if draft.pointer == depth.pointer)
        if asked is not None and depth.value < asked:
            most = depth.value.words_not_above(ledger.units)
            shallower = f"Work shallower: at {say(depth.at_speed)} no deeper than {most} fits."
    if width is not None and width.value is not None and width.value < case.width:
        most = f"{width.count} tools" if width.count is not None else width.value.words_not_above(ledger.units)
        narrower = f"Take off width: at {say(width.at_speed)} no more than {most} fits."
    return [
        "Shift down and go slower: power needed falls faster than speed.",
        shallower,
        narrower,
        "Look for dull points, gangs cutting too steep, and a frame out of level.",
    ]


def _if_it_slips(answer: MatchAnswer, request: MatchRequest, ledger: Ledger) -> list[str]:
    """Usual practice of the trade (common practice, no source), with the numbers of this match."""
    advice = [
        "Work shallower or take off width: slip goes by pull, so going slower helps little.",
        "Add ballast where the manual allows, or bring tire pressure down to the tire table's for the load.",
        "Wait for drier or firmer ground; keep off ground worked the same day.",
    ]
    if request.tractor.drive == "front-wheel-assist":
        advice.insert(0, "Check that the front-wheel drive is on.")
    if answer.at_work.slip is not None:
        low = ledger.say(answer.at_work.slip_band[0])
        advice.append(f"Below {low} slip the tractor is heavier than the work needs: take ballast off.")
    return advice


def trial_runs(ledger: Ledger) -> TrialRuns:
    """Return the columns of a trial run: every field that a run of a calibration and of a slip can carry."""
    fields = [field.name for field in msgspec.structs.fields(CalibrationRun)]
    ways = [field.name for field in msgspec.structs.fields(SlipRequest)]
    return TrialRuns(
        calibration=[_column(name, *_CALIBRATION[name], ledger) for name in fields if not name.endswith("_error")],
        errors=[
            _column(name, f"{_CALIBRATION[name.removesuffix('_error')].text}, give or take", Ratio, ledger)
            for name in fields
            if name.endswith("_error")
        ],
        slip=[
            SlipColumns(
                way=way,
                how=how,
                columns=[
                    _column("loaded", f"{text}, at work", kind, ledger),
                    _column("unloaded", f"{text}, raised", kind, ledger),
                ],
            )
            for way, (how, text, kind) in _SLIP.items()
            if way in ways
        ],
    )


def _column(field: str, heading: str, kind: type[Quantity] | None, ledger: Ledger) -> TrialColumn:
    unit = kind.shown(ledger.units)[0] if kind is not None else ""
    return TrialColumn(field=field, heading=heading, unit="" if unit == "1" else unit)


SHEET = Calculation(
    name="sheet",
    request=MatchRequest,
    answer=SheetAnswer,
    compute=compute,
    summary="A field sheet: what to set, to watch and to change, and room for a trial run",
    description=(
        "The request is that of `/v1/match`. As `text/html` one page, A4 or US Letter, to print and carry: settings to "
        "start with, what binds, what to watch, what to change when the engine lugs or the wheels slip, and ruled "
        "columns for trial runs, each a field of `/v1/calibration` or `/v1/slip`."
    ),
    example=MATCH.example,
    shown_as={HTML: "The sheet as a page to print; it loads nothing and runs no script."},
)
