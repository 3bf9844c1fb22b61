"""Will this tractor pull this cultivator? Runs the service inside this process: pip install ./sdk ./service."""

from drawbar import AxleTires, Client, GroundTool, Implement, MatchRequest, Soil, Tires, Tractor, TractorPower

request = MatchRequest(
    tractor=Tractor(
        drive="front-wheel-assist",
        power=TractorPower(engine="150 kW"),
        mass="8.6 t",
        wheelbase="2.76 m",
        tires=AxleTires(front=Tires(size="480/70R30"), rear=Tires(size="620/70R42")),
    ),
    implement=Implement(
        hitch="drawbar",
        tools=[GroundTool(tool="field-cultivator.secondary", count=42, spacing="15 cm", depth="7 cm")],
    ),
    soil=Soil(texture="medium", surface="tilled"),
)

if __name__ == "__main__":
    with Client.in_process(units="us") as client:
        answer = client.match(request)
    print(answer.verdict.summary)
    print(f"{answer.capacity.effective} on {answer.fuel.per_area if answer.fuel else 'too much fuel'}")
