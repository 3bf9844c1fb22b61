"""The sentences of a field sheet: how it is set, what to watch, and what to change."""

from drawbar_service.api.answers import Ledger
from drawbar_service.api.v1.match.words import widest_words
from drawbar_service.engine.arrays import Real
from drawbar_service.model.limits import is_kept
from drawbar_service.model.match import Worked
from drawbar_service.model.matched import Matched
from drawbar_service.quantities import Depth, Ratio, Share, Speed
from drawbar_service.reference.tables import DraftRow


def title(implement: str, tractor: str, field: str) -> str:
    """Return the title of a sheet, from the names of `implement`, `tractor` and `field`, which may be empty."""
    return f"{implement or 'implement'} behind {tractor or 'tractor'}{f', on {field}' if field else ''}"


def depth_of(row: DraftRow) -> str:
    """Return what the depth of a tool is called, by the tool's name in the draft table."""
    return f"Depth, {row.implement[:1].lower()}{row.implement[1:]}"


def sound_speeds(speeds: tuple[Real, Real], ledger: Ledger) -> str:
    """Return between which `speeds` [m/s] the tool does sound work."""
    low, high = (ledger.say(Speed.of(end)) for end in speeds)
    return f"sound work from {low} to {high}"


def ballast(match: Matched, ledger: Ledger) -> str:
    """Return how the tractor's weight suits the work."""
    worked, (low, high) = match.worked, match.case.slip_band
    if worked.unchecked:
        return "as it stands; nothing published says what this soil carries under tracks"
    slip = worked.point.value.slip
    if not is_kept("pull", worked.left):
        return "too light for this pull"
    if slip > high:
        return f"too light: {ledger.say(Share.of(slip))} slip is above the best"
    if slip < low:
        return f"could be lighter: {ledger.say(Share.of(slip))} slip is below the best"
    return "as it stands: slip is at its best"


def slip_to_watch(worked: Worked, slip: Real, ledger: Ledger) -> tuple[str, str]:
    """Return the band of `slip` [1] to keep to, and what to expect."""
    most = ledger.say(Ratio.of(worked.case.limits.slip))
    low, high = (ledger.say(Share.of(end)) for end in worked.case.slip_band)
    expect = f"expect {ledger.say(Share.of(slip))}" if is_kept("pull", worked.left) else "no slip carries this pull"
    return f"{low} to {high}", f"{expect}; change something above {most}"


def if_it_lugs(match: Matched, ledger: Ledger) -> list[str]:
    """Usual practice of the trade (common practice, no source), with the numbers of this match where they help."""
    case = match.case
    _, width, depth = (far.holding if far is not None else None for far in match.greatest)
    shallower, narrower = "Work shallower.", "Take off width."
    if depth is not None and depth.fits:
        asked = case.drafts[int(depth.tool)].depth
        if asked is not None and depth.value < asked:
            most = Depth.of(depth.value).words_not_above(ledger.units)
            shallower = f"Work shallower: at {ledger.say(Speed.of(depth.at_speed))} no deeper than {most} holds."
    if width is not None and width.fits and width.value < case.width:
        most = widest_words(width, ledger)
        narrower = f"Take off width: at {ledger.say(Speed.of(width.at_speed))} no more than {most} holds."
    return [
        "Shift down and go slower: power needed falls faster than speed.",
        shallower,
        narrower,
        "Look for dull points, gangs cutting too steep, and a frame out of level.",
    ]


def if_it_slips(match: Matched, ledger: Ledger) -> list[str]:
    """Usual practice of the trade (common practice, no source), with the numbers of this match."""
    advice = [
        "Work shallower or take off width: slip depends on pull, so going slower helps little.",
        "Add ballast where the manual allows, or bring tire pressure down to the tire table's for the load.",
        "Wait for drier or firmer ground; keep off ground worked the same day.",
    ]
    if match.case.job.tractor.drive == "front-wheel-assist":
        advice.insert(0, "Check that the front-wheel drive is on.")
    low = ledger.say(Share.of(match.case.slip_band[0]))
    advice.append(f"Below {low} slip the tractor is heavier than the work needs: take ballast off.")
    return advice
