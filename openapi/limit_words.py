"""The words for limits, for those who cannot read the service's: the SDK and the page."""

from collections.abc import Mapping

import msgspec

from drawbar_service.api.words import LimitWords
from drawbar_service.model.limits import LimitName


def for_sdk(limits: Mapping[LimitName, LimitWords]) -> str:
    """Return a module of the SDK."""
    lines = [
        '"""What limits of a match are called. Generated from the service: run `python openapi/generate.py`."""',
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
    return "\n".join(lines) + "\n"


def for_page(limits: Mapping[LimitName, LimitWords]) -> str:
    """Return a module of the page."""
    names = {limit: words.name for limit, words in limits.items()}
    text = msgspec.json.format(msgspec.json.encode(names), indent=2).decode()
    return (
        f"// Generated from the service's words: run `python openapi/generate.py`.\n\nexport const LIMITS = {text};\n"
    )
