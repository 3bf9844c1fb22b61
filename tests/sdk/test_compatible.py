"""A service that lacks what a client asks for is named before a call fails."""

import pickle

import pytest

import drawbar
from drawbar._compatible import compatible

ADDRESS = "http://yard:8000"


def said(service, api="v1"):
    return drawbar.VersionAnswer(service=service, api=api, model="1")


@pytest.mark.parametrize(
    ("service", "mine"),
    [("0.1.0", "0.1.0"), ("0.1.0", "0.1.7"), ("0.2.0", "0.1.0"), ("2.0.0", "1.9.0"), ("1.10.0", "1.9.3")],
)
def test_a_service_as_new_as_the_client_serves_it(service, mine):
    assert compatible(said(service), ADDRESS, mine) == said(service)


@pytest.mark.parametrize(("service", "mine"), [("0.1.9", "0.2.0"), ("1.9.0", "1.10.0"), ("0.9.0", "1.0.0")])
def test_an_older_service_is_named(service, mine):
    with pytest.raises(drawbar.Incompatible, match=f"version {service}, older than this client's {mine}") as caught:
        compatible(said(service), ADDRESS, mine)
    assert ADDRESS in str(caught.value)
    assert str(pickle.loads(pickle.dumps(caught.value))) == str(caught.value)


def test_another_api_is_named():
    with pytest.raises(drawbar.Incompatible, match="paths of v2, this client asks for v1"):
        compatible(said("9.0.0", "v2"), ADDRESS)


def test_both_versions_of_this_tree_belong_together():
    with drawbar.Client.in_process() as client:
        assert client.connect().service == drawbar.__version__
