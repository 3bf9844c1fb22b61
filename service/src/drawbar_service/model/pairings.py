"""Every tractor on every implement that may do some work of a season: which fit, how fast, on how much fuel."""

from collections.abc import Sequence
from typing import NamedTuple

from drawbar_service.model.chance import CLOSE, FAILS
from drawbar_service.model.farm import Farm
from drawbar_service.model.findings import Finding, Findings, Impossible
from drawbar_service.model.match import resolve
from drawbar_service.model.matched import ANYTHING, Matched, matched, still_fits
from drawbar_service.model.nouns import ConeReading, FieldShape, Implement, MatchLimits, Tractor

MOST_MATCHES = 2_000
"""Matches that one request may ask for."""


class Ground(NamedTuple):
    """The soil as some work finds it."""

    texture: str
    surface: str
    cone_index: float | None
    """[Pa]"""
    moisture: str | None
    water_content: float | None
    """[1]"""
    plastic_limit: float | None
    """[1]"""
    cone_readings: Sequence[ConeReading]


class Land(NamedTuple):
    """A field of the season as a match needs it."""

    slope: float
    """[1]"""
    efficiency: float | None
    """[1]"""
    shape: FieldShape | None
    area: float | None = None
    """A season counts its areas itself [m^2]."""
    workday: float | None = None
    """[s]"""
    turning_fuel_share: float | None = None
    """Fuel rate over that at work [1]."""
    stopped_fuel_share: float | None = None
    """Fuel rate over that at work [1]."""


class PairingJob(NamedTuple):
    """What a pairing is matched for."""

    tractor: Tractor
    implement: Implement
    soil: Ground
    field: Land
    speed: float | None
    """[m/s]"""
    limits: MatchLimits


class Pairing(NamedTuple):
    """A tractor on an implement for some work, on fields that are alike. Numbers are places in the request."""

    tractor: int
    implement: int
    work: int
    fields: tuple[int, ...]
    match: Matched
    warned: list[Finding]
    """With pointers into the request of the season."""

    @property
    def fits(self) -> bool:
        """Whether every limit is kept, not too seldom, and the power suffices to calculate fuel."""
        fails = self.match.chance is not None and self.match.chance.word == FAILS
        return bool(self.match.worked.fits) and bool(self.match.fuel.enough) and not fails

    @property
    def close(self) -> bool:
        """Whether it keeps every limit less often than is asked of what holds."""
        return self.match.chance is not None and self.match.chance.word == CLOSE

    @property
    def area_rate(self) -> float:
        """Effective field capacity [m^2/s]."""
        return float(self.match.capacity.effective.value)

    @property
    def fuel_rate(self) -> float:
        """Mean over the time in the field [m^3/s], 0 where the power does not suffice."""
        return float(self.match.fuel.mean_rate.value) if self.match.fuel.enough else 0.0

    @property
    def least_margin(self) -> float:
        """What is left before the limit exceeded most, or nearest to being met, over that limit [1]."""
        return min(float(margin) for margin in self.match.worked.left.values())


class _Asked(NamedTuple):
    """What makes two matches the same."""

    tractor: int
    implement: int
    soil: Ground
    land: Land
    speed: float | None


def pairings(farm: Farm, found: Findings) -> list[Pairing]:
    """Return every pairing that the work of a farm admits.

    Parameters
    ----------
    farm : Farm
        The names that works refer to must exist.
    found : Findings
        Receives assumptions and faults, at their places in the request; warnings stay with each pairing.

    Raises
    ------
    Impossible
        If there are faults.
    """
    tractors = {one.name: place for place, one in enumerate(farm.fleet.tractors)}
    implements = {one.name: place for place, one in enumerate(farm.fleet.implements)}
    places = {one.name: place for place, one in enumerate(farm.fields)}
    wanted: dict[tuple[int, _Asked], list[int]] = {}
    for number, work in enumerate(farm.work):
        for name in work.fields:
            field = farm.fields[places[name]]
            land = Land(
                slope=0.0 if field.slope is None else field.slope,
                efficiency=field.efficiency,
                shape=field.shape,
                turning_fuel_share=field.turning_fuel_share,
                stopped_fuel_share=field.stopped_fuel_share,
            )
            surface = field.soil.surface if work.surface is None else work.surface
            of = field.soil
            water = (of.moisture, of.water_content, of.plastic_limit)
            soil = Ground(of.texture, surface, of.cone_index, *water, tuple(of.cone_readings))
            # A name that only another fleet has is left out.
            for tractor in (one for one in (work.tractors or tractors) if one in tractors):
                for implement in (one for one in work.implements if one in implements):
                    asked = _Asked(tractors[tractor], implements[implement], soil, land, work.speed)
                    wanted.setdefault((number, asked), []).append(places[name])
    matches = len({asked for _, asked in wanted})
    if matches > MOST_MATCHES:
        found.fault("too-many-matches", "/work", matches=matches, most=MOST_MATCHES)
        found.stop_at_faults()
    return _matched(farm, wanted, found)


def _matched(farm: Farm, wanted: dict[tuple[int, _Asked], list[int]], found: Findings) -> list[Pairing]:
    pairs: list[Pairing] = []
    done: dict[_Asked, tuple[Matched, Findings]] = {}
    told: set[object] = set()
    for (number, asked), places in wanted.items():
        found.go_on()
        at = _Places(asked, number, places[0], farm.work[number].surface is not None)
        if asked not in done:
            part = Findings(found.asked)
            job = PairingJob(
                farm.fleet.tractors[asked.tractor].tractor,
                farm.fleet.implements[asked.implement].implement,
                asked.soil,
                asked.land,
                asked.speed,
                farm.fleet.limits,
            )
            try:
                done[asked] = matched(resolve(job, part), [], part, judged=True), part
            except Impossible as error:
                faults = [one._replace(pointer=at.moved(one.pointer)) for one in error.faults]
                found.refused += [one for one in faults if one.pointer not in told]
                told.update(one.pointer for one in faults)
                continue
            _pass_on(part, at, found, told)
        match, part = done[asked]
        warned = [one._replace(pointer=at.moved(one.pointer)) for one in part.warned]
        pairs.append(Pairing(asked.tractor, asked.implement, number, tuple(places), match, warned))
    found.stop_at_faults()
    return pairs


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


def _pass_on(part: Findings, at: _Places, found: Findings, told: set[object]) -> None:
    """Pass on what a match assumed, once where it is the same for many fields."""
    found.sources |= part.sources
    found.cautions |= part.cautions
    for one in part.assumed:
        # Speed and field efficiency stand with each pairing; the best gear changes with it.
        if one.pointer in ("/speed", "/field/efficiency") or one.kind == "best-gear":
            continue
        moved = at.moved(one.pointer)
        of_land = one.pointer.startswith(("/soil", "/field"))
        key = (one.pointer if of_land else moved, one.kind, one.value, tuple(one.figures.items()))
        if key not in told:
            told.add(key)
            found.assumed.append(one._replace(pointer=moved))


def nearest_miss(pairing: Pairing) -> Pairing:
    """Return a pairing that does not fit with what would make it fit."""
    match = pairing.match
    return pairing._replace(
        match=match._replace(greatest=still_fits(match.worked, match.greatest.speed, ANYTHING), wanted=ANYTHING)
    )
