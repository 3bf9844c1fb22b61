"""A match, with what openapi-python-client makes of the contract: `python client.py http://127.0.0.1:8000`."""

import sys

from made import Client
from made.api.calculations import match
from made.models import MatchAnswer, MatchRequest

REQUEST = {
    "tractor": {
        "drive": "front-wheel-assist",
        "power": {"rated_pto": "145 kW"},
        "mass": {"value": 9.4, "unit": "t"},
        "wheelbase": "2.82 m",
        "tires": {"front": {"size": "540/65R30"}, "rear": {"size": "650/65R42"}},
    },
    "implement": {
        "hitch": "drawbar",
        "tools": [{"tool": "field-cultivator.primary", "count": 30, "spacing": "20 cm", "depth": "10 cm"}],
    },
    "soil": {"texture": "medium", "surface": "firm"},
}

with Client(base_url=sys.argv[1]) as client:
    answer = match.sync(client=client, body=MatchRequest.from_dict(REQUEST))
    assert isinstance(answer, MatchAnswer), answer
    print(answer.verdict.summary)
