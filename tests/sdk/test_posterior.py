"""What a calibration learned, written to a file and taken by other requests."""

import copy
import math
from pathlib import Path
from typing import Any

import msgspec
import numpy as np
import pytest

from drawbar import cli, logs
from drawbar.client import Client
from drawbar.logs import BadLog, Work
from drawbar.posterior import BadPosterior, Known, Posterior
from drawbar.uncertainty import Study
from drawbar_service.api.v1.calibration import CALIBRATION
from drawbar_service.api.v1.match import MATCH

JOB: dict[str, Any] = {name: part for name, part in CALIBRATION.example.items() if name != "runs"}
FUEL = {"millrace": 30.0, "sluice": 36.0, "ridge": 33.0}
LOG = "machine,field,time [h],distance [km],fuel [L]\n" + "".join(
    f"heron,{field},1,{6.5 + at / 10},{fuel + at}\n" for field, fuel in FUEL.items() for at in range(4)
)


@pytest.fixture(scope="module")
def client() -> Client:
    return Client.in_process()


@pytest.fixture(scope="module")
def learned(client: Client) -> Posterior:
    works = [
        Work(machine="heron", field=field, time=3600.0, distance=6500.0 + 100.0 * at, fuel=1e-3 * (fuel + at))
        for field, fuel in FUEL.items()
        for at in range(4)
    ]
    return Posterior.of(client.calibration(JOB | {"runs": logs.runs(works, named=True)}))


def test_it_is_read_as_it_was_saved(learned: Posterior, tmp_path: Path) -> None:
    learned.save(tmp_path / "learned.json")
    assert Posterior.read(tmp_path / "learned.json") == learned
    (tmp_path / "other.json").write_text('{"drawbar": "other"}', "utf-8")
    for name in ("other.json", "none.json"):
        with pytest.raises(BadPosterior):
            Posterior.read(tmp_path / name)


def test_in_us_units_it_is_the_same(client: Client, learned: Posterior) -> None:
    runs = logs.runs([Work(time=3600.0, distance=6500.0, fuel=0.033)])
    metric, us = (
        Posterior.of(client.calibration(JOB | {"runs": runs}, units=units)).whole for units in ("metric", "us")
    )
    assert us.draft_deviation == pytest.approx(metric.draft_deviation)
    assert us.cone_index_deviation == pytest.approx(metric.cone_index_deviation)
    assert str(us.cone_index).endswith("psi")


def test_a_field_is_found_by_name_and_others_are_new(learned: Posterior) -> None:
    assert learned.known(field="sluice").field == "sluice"
    assert learned.known(machine="heron", field="sluice") == learned.known(field="sluice")
    new = learned.known(field="far")
    assert (new.machine, new.field, new.cone_index) == ("heron", None, None)
    assert new.draft_deviation > learned.known(field="sluice").draft_deviation
    with pytest.raises(BadPosterior, match="of heron"):
        learned.known(machine="wren")


def test_a_match_takes_what_was_learned(client: Client, learned: Posterior) -> None:
    request = copy.deepcopy(dict(MATCH.example)) | {"odds": {}}
    before = client.match(request)
    known = learned.known(field="sluice")
    after = client.match(learned.into(request, field="sluice"))
    assert request == dict(MATCH.example) | {"odds": {}}
    assert before.draft is not None
    assert after.draft is not None
    ratio = after.draft.total.value / before.draft.total.value
    assert ratio == pytest.approx(known.draft_multiplier, rel=1e-6)
    total = after.draft.total
    assert total.low is not None
    assert math.log(total.value / total.low) / 1.6448536 == pytest.approx(known.draft_deviation, rel=1e-3)
    given = learned.into(request, field="sluice")
    assert given["soil"]["cone_index"] == known.cone_index
    # A spread of a request is one standard deviation up.
    assert known.cone_index_deviation is not None
    assert given["odds"]["spreads"]["cone_index"] == pytest.approx(math.exp(known.cone_index_deviation) - 1.0)
    assert given["odds"]["correlation"] == known.correlation != 0.0


def test_a_study_takes_it_as_distributions(client: Client, learned: Posterior) -> None:
    inputs = learned.known(field="millrace").distributions()
    study = Study("match", dict(MATCH.example), inputs, columns=["/fuel/rate"])
    low, high = study.samples(client, 500).quantiles([0.05, 0.95])["/fuel/rate"]
    assert low < high


def test_a_study_carries_how_draft_and_soil_go_together(learned: Posterior) -> None:
    known = learned.known(field="sluice")
    study = Study("match", {}, known.distributions(), ["/fuel/rate"], known.correlations())
    multiplier, strength = study.draw(20_000).values()
    found = np.corrcoef(np.log(multiplier), np.log(strength))[0, 1]
    assert found == pytest.approx(known.correlation, abs=0.02)
    assert learned.known(field="far").correlations() == {}


@pytest.mark.parametrize("correlation", [-0.8, 0.8])
def test_odds_and_samples_say_the_same_of_what_goes_together(client: Client, correlation: float) -> None:
    """The odds of a match against samples of the same inputs, drawn and asked one by one."""
    known = Known(
        draft_multiplier=1.1,
        draft_deviation=0.12,
        cone_index="1000 kPa",
        cone_index_deviation=0.25,
        correlation=correlation,
    )
    request = copy.deepcopy(dict(MATCH.example)) | {"odds": {"samples": 16384}}
    # The range of a request is that of 9 in 10: so many standard deviations.
    request["odds"]["range_deviations"] = 1.6448536
    odds = client.match(Posterior(model="3", whole=known).into(request)).odds
    study = Study("match", dict(MATCH.example), known.distributions(), ["/at_work/slip"], known.correlations())
    low, middle, high = study.samples(client, 20_000).quantiles([0.05, 0.5, 0.95])["/at_work/slip"]
    assert odds is not None
    assert (odds.slip.low, odds.slip.value, odds.slip.high) == pytest.approx((low, middle, high), rel=0.02)


def test_a_range_is_no_wider_than_a_request_takes() -> None:
    assert Known(draft_multiplier=1.0, draft_deviation=0.9).draft_range == 1.0


def test_runs_of_one_field_are_put_together_and_no_others() -> None:
    works = [Work(field=str(at % 7), time=3600.0, distance=6000.0 + at % 7, fuel=0.03) for at in range(700)]
    found = logs.runs(works, named=True)
    assert 42 <= len(found) <= 50
    assert {(run["field"], run["speed"]) for run in found} == {
        (str(at), f"{6 + at / 1000:.6g} km/h") for at in range(7)
    }
    with pytest.raises(BadLog, match="51 machines and fields"):
        logs.runs([Work(field=str(at), time=1.0, distance=2.0, fuel=1e-5) for at in range(51)], named=True)


def test_the_command_saves_and_takes_it(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    job, log, saved, match = (tmp_path / name for name in ("job.json", "log.csv", "learned.json", "match.json"))
    job.write_bytes(msgspec.json.encode(JOB))
    log.write_text(LOG, "utf-8")
    match.write_bytes(msgspec.json.encode(MATCH.example))
    assert cli.main(["calibration", str(job), "--log", str(log), "--save", str(saved)]) == 0
    capsys.readouterr()
    cli.main(["match", str(match), "--posterior", str(saved), "--field", "ridge", "--json"])
    told = capsys.readouterr()
    known = Posterior.read(saved).known(field="ridge")
    assert told.err.startswith(f"Learned of heron on ridge: draft multiplier {known.draft_multiplier:.3g}, cone index ")
    plain = cli.main(["match", str(match), "--json"])
    assert plain in (0, 1)
    before, after = (msgspec.json.decode(out)["draft"]["total"]["value"] for out in (capsys.readouterr().out, told.out))
    assert after / before == pytest.approx(known.draft_multiplier, rel=1e-5)
    assert cli.main(["match", str(match), "--posterior", str(saved), "--tractor", "wren"]) == 2
    assert cli.main(["match", str(match), "--field", "ridge"]) == 2
    assert cli.main(["calibration", str(job), "--log", str(log), "--save", str(tmp_path / "no" / "where.json")]) == 2


def test_a_farm_file_names_machine_and_field_by_itself(
    learned: Posterior, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    learned.save(tmp_path / "learned.json")
    farm = str(Path(__file__).resolve().parents[2] / "sdk/examples/farm.toml")
    cli.main(["match", farm, "--job", "stubble", "--tractor", "heron", "--posterior", str(tmp_path / "learned.json")])
    assert "Learned of heron on millrace" in capsys.readouterr().err
    assert cli.main(["match", farm, "--posterior", str(tmp_path / "learned.json")]) == 2
