"""The examples run as they stand, from anywhere, and say what their comments promise."""

import re
import runpy
import struct
import tomllib
from pathlib import Path

import matplotlib as mpl
import numpy as np
import pytest

from drawbar import cli

EXAMPLES = Path(__file__).resolve().parents[2] / "sdk/examples"


@pytest.fixture
def module(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    mpl.use("Agg")
    return lambda name: runpy.run_path(str(EXAMPLES / name))


def test_the_yard_program_names_a_tractor_for_each_job(module, capsys):
    module("yard.py")["main"]([])
    lines = capsys.readouterr().out.splitlines()
    farm = tomllib.loads((EXAMPLES / "farm.toml").read_text("utf-8"))
    assert [line.partition(":")[0] for line in lines] == list(farm["jobs"])
    assert lines[2].startswith("pans: subsoiler on sluice-marsh - elk, ")
    assert all(re.search(r" - (wren|heron|elk), [\d.]+ km/h, [\d.]+ L/ha, held by [a-z-]+", line) for line in lines)


def test_the_yard_program_tells_what_is_wrong_or_out_of_reach(module, capsys):
    yard = module("yard.py")
    farm = yard["FARM"]
    farm["implements"]["chisel"]["tools"][0]["count"] = 90
    yard["main"](["stubble"])
    assert capsys.readouterr().out.endswith("no tractor of ours; hire one, or work shallower or narrower\n")
    farm["fields"]["millrace"]["soil"]["texture"] = "loamy"
    yard["main"](["stubble"])
    assert "look at the farm file: /soil/texture: " in capsys.readouterr().out


def test_the_sweep_maps_what_single_matches_say(module, capsys, tmp_path):
    sweep = module("sweep.py")
    sweep["main"](400, "small.png")
    assert re.match(r"400 matches in [\d.]+ s\nAt 18 cm and 7 km/h: \d+ of 100 soils\. ", capsys.readouterr().out)
    head = (tmp_path / "small.png").read_bytes()[:24]
    assert head[:8] == b"\x89PNG\r\n\x1a\n"
    assert struct.unpack(">II", head[16:]) == (840, 600)
    given, share = sweep["sweep"](400)
    assert share.shape == (len(given["depth"]), len(given["speed"]))
    assert share[0, 0] == 1.0
    assert share[-1, -1] == 0.0
    assert np.all(np.diff(share, axis=0) <= 0.0)


def test_the_county_asks_for_larger_tractors_where_it_is_steep_or_heavy(module, capsys, tmp_path):
    county = module("county.py")
    county["main"](1000, "small.png")
    told = capsys.readouterr().out.splitlines()
    assert re.match(r"864 matches in [\d.]+ s", told[0])
    assert [line.partition(":")[0] for line in told[1:]] == ["chisel", "cultivator"]
    assert (tmp_path / "small.png").read_bytes()[:8] == b"\x89PNG\r\n\x1a\n"
    fields = county["County"](np.array([0, 0, 2, 2]), np.array([0.02, 0.12, 0.02, 0.12]))
    chance = county["chances"](fields)
    assert chance.shape == (4, 3, 2)
    assert np.all(np.diff(chance, axis=1) >= 0.0)  # a larger tractor does no worse
    asked = county["smallest"](chance)
    assert np.all(asked[[0, 0]] <= asked[[1, 2]])
    assert np.all(asked[[1, 2]] <= asked[3])
    assert asked[3, 0] > asked[0, 0]


def test_blocks_of_a_county_are_worked_as_the_whole(module):
    county = module("county.py")
    whole = county["study"](2000, processes=1)
    county["study"].__globals__["BLOCK_ROWS"] = 500
    parts = county["study"](2000, processes=1)
    assert whole[0] == parts[0]
    assert np.array_equal(whole[1], parts[1])


def test_the_trial_changes_the_match(module, capsys):
    module("trial.py")["main"]()
    told = capsys.readouterr().out
    assert told.startswith("Slip by wheel turns: 9.89 %\nThe draft multiplier is 1.25 ")
    pulls = [float(pull) for pull in re.findall(r"^    pull ([\d.]+) kN", told, re.MULTILINE)]
    assert len(pulls) == 2
    assert pulls[1] / pulls[0] == pytest.approx(1.25, abs=0.01)
    assert "By the tables: Close" in told


@pytest.mark.parametrize(
    ("command", "shown"), [("slip", r"^Slip +9\.89 %$"), ("calibration", r"^Draft multiplier +1\.25")]
)
def test_the_files_of_a_trial_are_read_by_the_command(command, shown, capsys, monkeypatch):
    monkeypatch.setenv("COLUMNS", "100")
    assert cli.main([command, str(EXAMPLES / f"{command}.toml")]) == 0
    told = capsys.readouterr().out
    assert re.search(shown, told, re.MULTILINE)
    assert "Beware" not in told
