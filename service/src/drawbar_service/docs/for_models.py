"""What this service is and where things stand, for language models that read ``/llms.txt``."""

from functools import cache

from drawbar_service.api.calculations import CALCULATIONS, SHOWN
from drawbar_service.api.v1.batch.request import PATH
from drawbar_service.reference import TABLES


@cache
def for_models() -> bytes:
    """Return the page, as Markdown in UTF-8."""
    lines = [
        "# drawbar",
        "",
        "> Stateless calculations for field machines: which tractor on which implement, with draft, slip, power, fuel",
        "> and area an hour. An estimate, not a rating: operator's manuals and local law come first.",
        "",
        'A request is JSON. A quantity is text with its unit, such as `"8 in"`, or `{"value": 8, "unit": "in"}`.',
        "Leave out what you do not know, and never make up a figure: the answer says in `about.assumptions` what was",
        "taken instead. A request that cannot be is answered 422, with every fault, a JSON Pointer to each, and what",
        "would be right. `?units=us` writes US units, `?about=none` leaves out assumptions and sources, `?digits=4`",
        "rounds, `?fields=` picks parts. Tell people the verdict with its chance, the warnings and the cautions.",
        "",
        "## Contract",
        "",
        "- [OpenAPI 3.1](/openapi/drawbar-v1.json): every operation, with a worked request and answer",
        "- [Start in five minutes](/docs/start)",
        "- [Reference](/docs/reference)",
        "- [What it cannot do](/docs/limits)",
        "",
        "## Calculations",
        "",
        *(f"- `POST {one.path}`: {one.summary}" for one in CALCULATIONS),
        f"- `POST {PATH}`: many rows of a calculation in one request",
        "",
        "## Pictures",
        "",
        *(f"- `POST {one.path}`: {one.summary}" for one in SHOWN),
        "",
        "## Tables",
        "",
        "Ids of tools, machines and the rest come from these; use no others.",
        "",
        *(f"- [{table.title}](/v1/reference/{table.id})" for table in TABLES.values()),
    ]
    return ("\n".join(lines) + "\n").encode()
