"""A match, with what datamodel-code-generator makes of the contract: `python models.py http://127.0.0.1:8000`."""

import sys
import urllib.request

from drawbar_models import (
    AxleTires,
    GroundTool,
    Implement,
    MatchAnswer,
    MatchRequest,
    Soil,
    Tires,
    Tractor,
    TractorPower,
)

request = MatchRequest(
    tractor=Tractor(
        drive="front-wheel-assist",
        power=TractorPower(rated_pto="145 kW"),
        mass="9.4 t",
        wheelbase="2.82 m",
        tires=AxleTires(front=Tires(size="540/65R30"), rear=Tires(size="650/65R42")),
    ),
    implement=Implement(
        hitch="drawbar", tools=[GroundTool(tool="field-cultivator.primary", count=30, spacing="20 cm", depth="10 cm")]
    ),
    soil=Soil(texture="medium", surface="firm"),
)
sent = urllib.request.Request(
    f"{sys.argv[1]}/v1/match",
    request.model_dump_json().encode(),  # null where nothing was given, which is the same as leaving it out
    {"Content-Type": "application/json"},
)
with urllib.request.urlopen(sent) as response:
    print(MatchAnswer.model_validate_json(response.read()).verdict.summary)
