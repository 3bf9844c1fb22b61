"""Every tractor on every implement that may do some work of a season: which fit, how fast, on how much fuel."""

from typing import Annotated, NamedTuple

import msgspec
from msgspec import Meta

from drawbar_service.api.answers import Ledger, Notice
from drawbar_service.api.faults import ImpossibleInput
from drawbar_service.api.shared.field import Field
from drawbar_service.api.shared.fleet import Fleet, SeasonField, Work
from drawbar_service.api.shared.soil import Soil
from drawbar_service.api.v1.match import compute as match
from drawbar_service.api.v1.match.answer import MatchAnswer
from drawbar_service.api.v1.match.request import MatchRequest
from drawbar_service.api.words import CAUTIONS
from drawbar_service.model.limits import LimitName
from drawbar_service.quantities import AreaRate, FuelRate, Share, Slope, Speed

MOST_MATCHES = 2_000
"""Matches that one request may ask for."""


class Pairing(NamedTuple):
    """A tractor on an implement for some work, on fields that are alike. Numbers are places in the request."""

    tractor: int
    implement: int
    work: int
    fields: tuple[int, ...]
    request: MatchRequest
    answer: MatchAnswer
    warnings: list[Notice]

    @property
    def fits(self) -> bool:
        """Whether every limit is kept, and the power suffices to reckon fuel."""
        return self.answer.verdict.fits and self.answer.fuel is not None


class PairingAnswer(msgspec.Struct, frozen=True, kw_only=True):
    """A tractor on an implement for some work, on fields that are alike."""

    work: Annotated[str, Meta(description="The work.")]
    tractor: Annotated[str, Meta(description="The tractor.")]
    implement: Annotated[str, Meta(description="The implement.")]
    fields: Annotated[list[str], Meta(description="Fields on which soil, slope and efficiency are the same.")]
    fits: Annotated[bool, Meta(description="Whether every limit is kept; pairings that do not fit are left out.")]
    speed: Annotated[Speed, Meta(description="Ground speed: the one asked for, or the greatest that fits.")]
    capacity: Annotated[AreaRate, Meta(description="Area an hour.")]
    efficiency: Annotated[Share, Meta(description="Field efficiency.")]
    fuel: Annotated[FuelRate | None, Meta(description="Fuel at work; null where the power does not suffice.")]
    limited_by: Annotated[LimitName, Meta(description="The limit that is exceeded most, or nearest to being met.")]
    why: Annotated[str, Meta(description="The verdict of the match in words.")]


class _Asked(NamedTuple):
    """What makes two matches the same."""

    tractor: int
    implement: int
    soil: Soil
    field: Field
    speed: Speed | None


def pairings(fleet: Fleet, fields: list[SeasonField], works: list[Work], ledger: Ledger) -> list[Pairing]:
    """Return every pairing that the work admits; faults and assumptions go to the ledger, at their places.

    The names that works refer to must exist.
    """
    tractors = {one.name: place for place, one in enumerate(fleet.tractors)}
    implements = {one.name: place for place, one in enumerate(fleet.implements)}
    places = {one.name: place for place, one in enumerate(fields)}
    wanted: dict[tuple[int, _Asked], list[int]] = {}
    for number, work in enumerate(works):
        for name in work.fields:
            field = fields[places[name]]
            land = Field(slope=field.slope or Slope(0.0), efficiency=field.efficiency, shape=field.shape)
            soil = field.soil if work.surface is None else msgspec.structs.replace(field.soil, surface=work.surface)
            for tractor in work.tractors or tractors:
                for implement in work.implements:
                    asked = _Asked(tractors[tractor], implements[implement], soil, land, work.speed)
                    wanted.setdefault((number, asked), []).append(places[name])
    if len({asked for _, asked in wanted}) > MOST_MATCHES:
        ledger.fault(
            "/work",
            f"asks for {len({asked for _, asked in wanted})} matches, at most {MOST_MATCHES}; name fewer tractors or "
            "implements for each work, or describe fields that are alike in the same words",
        )
        ledger.stop_at_faults()
    return _matched(fleet, wanted, works, ledger)


def _matched(
    fleet: Fleet, wanted: dict[tuple[int, _Asked], list[int]], works: list[Work], ledger: Ledger
) -> list[Pairing]:
    found: list[Pairing] = []
    done: dict[_Asked, tuple[MatchRequest, MatchAnswer]] = {}
    told: set[object] = set()
    for (number, asked), places in wanted.items():
        at = _Places(asked, number, places[0], works[number].surface is not None)
        if asked not in done:
            request = MatchRequest(
                tractor=fleet.tractors[asked.tractor].tractor,
                implement=fleet.implements[asked.implement].implement,
                soil=asked.soil,
                field=asked.field,
                speed=asked.speed,
                limits=fleet.limits,
                find=[],
            )
            try:
                done[asked] = request, match(request, Ledger(ledger.units))
            except ImpossibleInput as error:
                for fault in error.faults:
                    if at.moved(fault.pointer) not in told:
                        told.add(at.moved(fault.pointer))
                        ledger.fault(at.moved(fault.pointer), fault.detail)
                continue
            _tell(done[asked][1], at, ledger, told)
        request, answer = done[asked]
        warnings = [msgspec.structs.replace(one, pointer=at.moved(one.pointer)) for one in answer.about.warnings]
        found.append(Pairing(asked.tractor, asked.implement, number, tuple(places), request, answer, warnings))
    ledger.stop_at_faults()
    return found


class _Places(NamedTuple):
    """Where the parts of a match stand in the request of the season."""

    asked: _Asked
    work: int
    field: int
    surface_of_work: bool

    def moved(self, pointer: str) -> str:
        """Return the place of a part of the match in the request of the season."""
        if self.surface_of_work and pointer == "/soil/surface":
            return f"/work/{self.work}/surface"
        if not pointer:
            return ""
        _, part, *rest = pointer.split("/")
        start = {
            "tractor": f"/fleet/tractors/{self.asked.tractor}/tractor",
            "implement": f"/fleet/implements/{self.asked.implement}/implement",
            "soil": f"/fields/{self.field}/soil",
            "field": f"/fields/{self.field}",
            "limits": "/fleet/limits",
            "speed": f"/work/{self.work}/speed",
        }[part]
        return "/".join((start, *rest))


def _tell(answer: MatchAnswer, at: _Places, ledger: Ledger, told: set[object]) -> None:
    """Pass on what a match assumed, once where it is the same for many fields."""
    ledger.use(*answer.about.sources)
    names = {text: name for name, text in CAUTIONS.items()}
    for caution in answer.about.cautions:
        if caution in names:
            ledger.caution(names[caution])
    for one in answer.about.assumptions:
        # Speed and field efficiency stand with each pairing; the best gear changes with it.
        if one.pointer in ("/speed", "/field/efficiency") or one.why.startswith("In the best gear"):
            continue
        moved = at.moved(one.pointer)
        of_land = one.pointer.startswith(("/soil", "/field"))
        key = (one.pointer if of_land else moved, one.value, one.why)
        if key not in told:
            told.add(key)
            ledger.assume(moved, one.value, one.why, one.source)


def pairing_answer(pairing: Pairing, fleet: Fleet, fields: list[SeasonField], works: list[Work]) -> PairingAnswer:
    """Return a pairing as it is answered."""
    answer = pairing.answer
    return PairingAnswer(
        work=works[pairing.work].name,
        tractor=fleet.tractors[pairing.tractor].name,
        implement=fleet.implements[pairing.implement].name,
        fields=[fields[place].name for place in pairing.fields],
        fits=pairing.fits,
        speed=answer.at_work.speed,
        capacity=AreaRate(float(answer.capacity.effective)),
        efficiency=answer.capacity.efficiency,
        fuel=answer.fuel.rate if answer.fuel is not None else None,
        limited_by=answer.verdict.binding,
        why=answer.verdict.summary,
    )


def nearest_miss(pairing: Pairing, ledger: Ledger) -> Pairing:
    """Return a pairing that does not fit with what would make it fit."""
    request = msgspec.structs.replace(pairing.request, find=["speed", "width", "depth"])
    return pairing._replace(answer=match(request, Ledger(ledger.units)))
