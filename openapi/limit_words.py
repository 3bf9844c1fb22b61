"""The words for limits and verdicts, for those who cannot read the service's: the SDK and the page."""

from collections.abc import Mapping

import msgspec

from drawbar_service.api.words import LimitWords, VerdictWords
from drawbar_service.model.chance import Word
from drawbar_service.model.limits import LimitName


def for_sdk(limits: Mapping[LimitName, LimitWords], verdicts: Mapping[Word, VerdictWords]) -> str:
    """Return a module of the SDK."""
    lines = [
        '"""Names of limits and verdicts of a match. Generated from the service: run `python openapi/generate.py`."""',
        "",
        "from collections.abc import Mapping",
        "from typing import Final",
        "",
    ]
    for name, part, meaning in (
        ("STOPS", "stops", "What happens where a limit is met."),
        ("SHORT", "short", "What it is called beside a number."),
    ):
        lines.append(f"{name}: Final[Mapping[str, str]] = {{")
        lines += [f'    "{limit}": "{getattr(words, part)}",' for limit, words in limits.items()]
        lines += ["}", f'"""{meaning}"""']
    lines.append("VERDICTS: Final[Mapping[str, str]] = {")
    lines += [f'    "{verdict}": "{words.short}",' for verdict, words in verdicts.items()]
    lines += ["}", '"""What a verdict is called where it stands alone."""']
    return "\n".join(lines) + "\n"


def for_page(limits: Mapping[LimitName, LimitWords], verdicts: Mapping[Word, VerdictWords]) -> str:
    """Return a module of the page."""
    lines = ["// Generated from the service's words: run `python openapi/generate.py`."]
    for name, part, words in (
        ("LIMITS", "name", limits),
        ("SHORT", "short", limits),
        ("STOPS", "stops", limits),
        ("VERDICTS", "name", verdicts),
    ):
        names = {key: getattr(one, part) for key, one in words.items()}
        lines += ["", f"export const {name} = {msgspec.json.format(msgspec.json.encode(names), indent=2).decode()};"]
    return "\n".join(lines) + "\n"
