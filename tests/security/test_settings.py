"""Settings that cannot be end the start with a sentence that says what would be right."""

import pytest

from drawbar_service.settings import BadSettings, Settings, read_settings, retired_settings


@pytest.mark.parametrize(
    ("variable", "value", "told"),
    [
        ("PORT", "abc", "DRAWBAR_PORT='abc': must be a whole number, at least 1 and at most 65535"),
        ("METRICS_PORT", "0", "must be a whole number, at least 1 and at most 65535"),
        ("QUEUE_PATIENCE", "soon", "must be a number, at least 0 and at most 60"),
        ("ACCESS_LOG", "perhaps", "must be true or false"),
        ("LOG_FORMAT", "xml", "must be one of auto, text, json"),
    ],
)
def test_a_wrong_value_is_told_with_what_would_be_right(variable: str, value: str, told: str) -> None:
    with pytest.raises(BadSettings) as caught:
        read_settings({f"DRAWBAR_{variable}": value})
    assert told in str(caught.value)


@pytest.mark.parametrize(
    ("variable", "meant"), [("APIKEYS", "API_KEYS"), ("PROT", "PORT"), ("CORS_ORIGIN", "CORS_ORIGINS")]
)
def test_a_misspelt_setting_does_not_pass_for_none(variable: str, meant: str) -> None:
    with pytest.raises(BadSettings, match=f"DRAWBAR_{variable} is not a setting; did you mean DRAWBAR_{meant}?"):
        read_settings({f"DRAWBAR_{variable}": "x"})


def test_variables_of_the_client_and_of_others_are_left_alone() -> None:
    # The latter is what Kubernetes sets for a Service called drawbar.
    others = ("URL", "API_KEY", "TOKEN", "SERVICE_HOST", "SERVICE_PORT", "PORT_8000_TCP_ADDR", "SERVICE_PORT_HTTP")
    assert read_settings({f"DRAWBAR_{name}": "x" for name in others}) == Settings()


def test_a_setting_of_an_earlier_version_is_told_of_and_does_nothing() -> None:
    environment = {"DRAWBAR_CONCURRENCY": "64", "DRAWBAR_LONG_SLOTS": "8"}
    assert read_settings(environment) == Settings()
    assert [sentence.partition(":")[0] for sentence in retired_settings(environment)] == [
        "DRAWBAR_CONCURRENCY does nothing any more",
        "DRAWBAR_LONG_SLOTS does nothing any more",
    ]
    assert retired_settings({}) == []
