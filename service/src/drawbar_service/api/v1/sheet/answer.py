"""What is answered: what to set, to watch and to change, and the columns of a trial run."""

from typing import Annotated, Literal, NamedTuple, TypeAlias

import msgspec
from msgspec import Meta

from drawbar_service.api.answers import AboutField, Answer, Ledger
from drawbar_service.api.shared.curve import AFTER_MATCH
from drawbar_service.api.v1.calibration.request import CalibrationRun
from drawbar_service.api.v1.match import words as match_words
from drawbar_service.api.v1.match.request import MatchRequest
from drawbar_service.api.v1.sheet import words
from drawbar_service.api.v1.slip.request import SlipRequest
from drawbar_service.engine.arrays import Real, truth
from drawbar_service.model.chance import Word
from drawbar_service.model.limits import LimitName, is_kept, name_of
from drawbar_service.model.matched import Matched
from drawbar_service.model.span import Span, ordered
from drawbar_service.quantities import (
    AreaRate,
    Depth,
    EngineSpeedRatio,
    Flow,
    Force,
    FuelPerArea,
    FuelRate,
    Length,
    OilPressure,
    Pull,
    Quantity,
    Ratio,
    Share,
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
    word: Annotated[Word, Meta(description="The verdict.")]
    chance: Annotated[Share | None, Meta(description="Chance that every limit is kept.")]
    fits: Annotated[bool, Meta(description="Whether every limit is kept by the central figures.")]
    summary: Annotated[str, Meta(description="The match in words.")]
    glance: Annotated[
        list[SheetLine], Meta(description="Speed, gear if known, depth and the slip to expect: read from the seat.")
    ]
    start_with: Annotated[
        list[SheetLine], Meta(description="Settings to start with, if it holds or is close; else as asked.")
    ]
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


_GROUPS = frozenset(("machine", "field"))
"""What a run of several machines or fields says beside; a sheet is of one machine in one field."""
_CALIBRATION: dict[str, _Heading] = {
    "speed": _Heading("Speed", Speed),
    "depth": _Heading("Depth", Depth),
    "slope": _Heading("Slope", Slope),
    "engine_speed": _Heading("Engine speed, of full throttle", EngineSpeedRatio),
    "pull": _Heading("Pull", Pull),
    "slip": _Heading("Slip", WheelSlip),
    "fuel_rate": _Heading("Fuel", FuelRate),
    "engine_load": _Heading("Engine load", Ratio),
}
_SLIP: dict[SlipWay, tuple[str, str, type[Quantity] | None]] = {
    "turns": ("Count turns of a driven wheel over one marked distance", "Wheel turns", None),
    "times": ("Time one marked distance, same gear and engine speed", "Time", ShortTime),
    "distances": ("Measure how far ten turns of a driven wheel go", "Distance", Length),
}


def answer_of(request: MatchRequest, match: Matched, ledger: Ledger) -> SheetAnswer:
    """Return the field sheet of a match."""
    binds, left = name_of(match.binds), match.worked.left
    about = ledger.about()
    return SheetAnswer(
        title=words.title(request.implement.name, request.tractor.name, request.field.name),
        word=match_words.word_of(match.chance),
        chance=Share.known(match.chance.told, match.chance.value) if match.chance is not None else None,
        fits=truth(match.worked.fits),
        summary=ledger.sentence(lambda: match_words.summary(match, ledger)),
        glance=_glance(match, ledger),
        start_with=_start_with(request, match, ledger),
        binds=SheetBinding(
            limit=binds,
            kept=truth(is_kept(binds, left)),
            detail=ledger.sentence(lambda: match_words.limit(binds, match.worked, ledger)),
        ),
        watch=_watch(match, ledger),
        if_it_lugs=words.if_it_lugs(match, ledger),
        if_it_slips=words.if_it_slips(match, ledger),
        trial=trial_runs(ledger),
        cautions=about.cautions,
        source=f"{AFTER_MATCH} What to change when it lugs or slips is common practice, no source.",
        about=about,
    )


def _glance(match: Matched, ledger: Ledger) -> list[SheetLine]:
    case, say = match.case, ledger.say
    lines = [SheetLine(what="Speed", value=say(Speed.of(match.worked.speed)))]
    if match.gears is not None:
        lines.append(SheetLine(what="Gear", value=_gear(match, ledger).value.removesuffix(" possible")))
    depths = [draft.depth for draft in case.drafts if draft.depth is not None]
    if depths:
        lines.append(SheetLine(what="Depth", value=say(Depth.of(depths[0]))))
    slip = say(Share.of(match.worked.point.value.slip)) if is_kept("pull", match.worked.left) else "none"
    return [*lines, SheetLine(what="Slip to expect", value=slip)]


def _start_with(request: MatchRequest, match: Matched, ledger: Ledger) -> list[SheetLine]:
    case, say = match.case, ledger.say
    lines = [
        SheetLine(
            what="Ground speed",
            value=say(Speed.of(match.worked.speed)),
            note=words.sound_speeds(case.speeds, ledger) if case.speeds is not None else "",
        ),
        SheetLine(what="Working width", value=say(Width.of(case.width))),
    ]
    if match.gears is not None:
        lines.append(_gear(match, ledger))
    elif case.job.tractor.engine_speed is not None:
        ratio = say(EngineSpeedRatio.of(case.job.tractor.engine_speed))
        lines.append(SheetLine(what="Engine speed", value=f"{ratio} of full throttle"))
    lines.append(
        SheetLine(
            what="Ballast",
            value=words.ballast(match, ledger),
            note="the ballast calculation says how much and where",
        )
    )
    lines += [
        SheetLine(what=words.depth_of(draft.row), value=say(Depth.of(draft.depth)))
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


def _gear(match: Matched, ledger: Ledger) -> SheetLine:
    assert match.gears is not None
    if match.gears.best < 0.0:
        return SheetLine(what="Gear", value="none possible", note="no gear gives this speed with power to pull")
    best = match.gears.runs[int(match.gears.best)]
    ratio = ledger.say(Ratio.of(best.engine_speed))
    return SheetLine(what="Gear", value=best.name, note=f"engine at {ratio} of full-throttle speed")


def _watch(match: Matched, ledger: Ledger) -> list[SheetLine]:
    worked, fuel = match.worked, match.fuel
    band, note = words.slip_to_watch(worked, worked.point.value.slip, ledger)
    lines = [SheetLine(what="Slip", value=band, note=note)]
    if worked.carried:
        lines.append(_ranged("Engine load", Ratio, ordered(worked.load), ledger))
    else:
        lines.append(SheetLine(what="Engine load", value="none", note="no power carries this pull"))
    if fuel.enough:
        lines += [
            _ranged("Fuel in an hour", FuelRate, fuel.rate, ledger),
            SheetLine(
                what="Fuel on the area",
                value=ledger.say(FuelPerArea.of(fuel.per_area.value)),
                note=f"with turns and stops, {ledger.say(FuelRate.of(fuel.mean_rate.value))} on average",
            ),
        ]
    lines += [
        SheetLine(what="Area in an hour", value=ledger.say(AreaRate.of(match.capacity.effective.value))),
        _ranged("Pull at the hitch", Force, ordered(worked.pull), ledger),
    ]
    return lines


def _ranged(what: str, kind: type[Quantity], span: Span[Real], ledger: Ledger) -> SheetLine:
    """Return a line whose note is the range of a quantity, where it has one."""
    value, low, high = span
    note = ""
    if low is not None and high is not None and low != high:
        note = f"{ledger.say(kind.of(low))} to {ledger.say(kind.of(high))} 9 times in 10"
    return SheetLine(what=what, value=ledger.say(kind.of(value)), note=note)


def trial_runs(ledger: Ledger) -> TrialRuns:
    """Return the columns of a trial run: every field that a run of a calibration and of a slip can carry."""
    fields = [field.name for field in msgspec.structs.fields(CalibrationRun) if field.name not in _GROUPS]
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
                    _column("loaded", f"{text}, tool working", kind, ledger),
                    _column("unloaded", f"{text}, tool raised", kind, ledger),
                ],
            )
            for way, (how, text, kind) in _SLIP.items()
            if way in ways
        ],
    )


def _column(field: str, heading: str, kind: type[Quantity] | None, ledger: Ledger) -> TrialColumn:
    unit = kind.shown(ledger.units)[0] if kind is not None else ""
    return TrialColumn(field=field, heading=heading, unit="" if unit == "1" else unit)
