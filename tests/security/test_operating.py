"""The page for operators names settings that there are, with the defaults that they have."""

import re
from pathlib import Path

import msgspec

from drawbar_service.settings import Settings

ROOT = Path(__file__).resolve().parents[2]
PAGE = ROOT / "service" / "OPERATING.md"
OBSERVING = ROOT / "deploy" / "OBSERVING.md"


def test_every_setting_is_told_once_with_its_default() -> None:
    defaults = {f"DRAWBAR_{one.name.upper()}": one.default for one in msgspec.structs.fields(Settings)}
    told: dict[str, str] = {}
    for line in (PAGE.read_text("utf-8") + OBSERVING.read_text("utf-8")).splitlines():
        if line.startswith("| `DRAWBAR_"):
            names, values = (re.findall("`([^`]+)`", cell) for cell in line.split("|")[1:3])
            assert not told.keys() & set(names)
            told |= dict(zip(names, values or [""] * len(names), strict=True))
    assert told == {name: shown(default) for name, default in defaults.items()}


def shown(default: object) -> str:
    if default is None:
        return ""
    return str(default).lower() if isinstance(default, bool) else str(default)


def test_it_names_no_variable_that_is_none() -> None:
    named = set(re.findall(r"DRAWBAR_[A-Z_]+", PAGE.read_text("utf-8")))
    assert named <= {f"DRAWBAR_{one.name.upper()}" for one in msgspec.structs.fields(Settings)}
