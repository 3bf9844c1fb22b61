"""The SDK against a service that asks who calls and counts how often."""

import pytest

import drawbar
from drawbar_service.api.v1.match import MATCH
from drawbar_service.app import create_app
from drawbar_service.security.keys import command
from drawbar_service.settings import Settings

BATCH = {"width": "6 m", "practice": "field-cultivator"}


@pytest.fixture
def key(tmp_path, capsys):
    assert command(["new", "--id", "yard", "--scopes", "single", "--rate", "5/h"]) == 0
    made = capsys.readouterr()
    (tmp_path / "keys.toml").write_text(made.out)
    return made.err.split()[-1]


@pytest.fixture
def app(tmp_path, key):
    return create_app(Settings(api_keys=str(tmp_path / "keys.toml")))


def test_each_refusal_has_its_class(app, key):
    with drawbar.Client.in_process(app) as client, pytest.raises(drawbar.Unauthorized, match="Bearer"):
        client.match(MATCH.example)
    with drawbar.Client.in_process(app, api_key=key, retry=drawbar.RetryPolicy(retry_after_cap=60.0)) as client:
        assert client.match(MATCH.example).verdict.fits
        with pytest.raises(drawbar.Forbidden, match="lacks the scope batch"):
            client.batch("field-capacity", BATCH, {"/speed": ["7 km/h"]})
        client.sources()
        with pytest.raises(drawbar.TooManyRequests, match="0 of 5 in 60 min are left") as caught:
            client.match(MATCH.example)
    # It says when, twelve minutes from now; that is longer than this client is willing to wait, so it asked once.
    assert 700.0 < caught.value.retry_after <= 720.0
    assert caught.value.attempts == 1
    assert key not in str(caught.value)


def test_a_key_comes_from_the_environment(app, key, monkeypatch):
    monkeypatch.setenv("DRAWBAR_API_KEY", key)
    with drawbar.Client.in_process(app) as client:
        assert client.sources().sources
