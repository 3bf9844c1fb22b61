"""What is deployed to watch the service asks only for what the service shows."""

import json
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import yaml
from litestar.testing import TestClient
from prometheus_client.parser import text_string_to_metric_families

from drawbar_service.api.v1.match import MATCH
from drawbar_service.app import create_app
from drawbar_service.settings import Settings

DEPLOY = Path(__file__).resolve().parents[2] / "deploy"
ALERTS = yaml.safe_load((DEPLOY / "prometheus/alerts.yml").read_text("utf-8"))
CONFIG = yaml.safe_load((DEPLOY / "prometheus/prometheus.yml").read_text("utf-8"))
DASHBOARD = json.loads((DEPLOY / "grafana/dashboard.json").read_text("utf-8"))
PAGE = (DEPLOY / "OBSERVING.md").read_text("utf-8")
RULES = [rule for group in ALERTS["groups"] for rule in group["rules"]]
PANELS = [panel for panel in DASHBOARD["panels"] if panel["type"] != "row"]

FUNCTIONS = {"absent", "count", "histogram_quantile", "increase", "min", "rate", "sum"}
OF_PROMETHEUS = {"job", "instance"}
"""Labels that it adds to whatever it reads."""


def expressions() -> Iterator[Any]:
    for rule in RULES:
        yield pytest.param(rule["expr"], id=rule["alert"])
    for panel in PANELS:
        for target in panel["targets"]:
            yield pytest.param(target["expr"], id=f"{panel['title']} {target['refId']}")
    for variable in DASHBOARD["templating"]["list"]:
        if variable["type"] == "query":
            ((expression, _),) = re.findall(r"label_values\((.*), (\w+)\)", variable["definition"])
            yield pytest.param(expression, id=f"variable {variable['name']}")


@pytest.fixture(scope="module")
def shown() -> dict[str, set[str]]:
    """The series that a service shows which has done a bit of everything, each with its labels."""
    with TestClient(create_app(Settings(metrics=True))) as client:
        client.post("/v1/match", json=dict(MATCH.example))
        client.post("/v1/batch/match", json={"scenario": dict(MATCH.example), "vary": {"/speed": ["8 km/h"]}})
        text = client.get("/metrics").text
    found: dict[str, set[str]] = {"up": set()}
    for family in text_string_to_metric_families(text):
        for sample in family.samples:
            found.setdefault(sample.name, set()).update(sample.labels)
    return found


Parts = tuple[set[str], set[str], set[str]]


def parts(expression: str) -> Parts:
    """Names of metrics, labels and functions in an expression."""
    labels: set[str] = set()

    def selected(match: re.Match[str]) -> str:
        inside = re.fullmatch(r'(\w+(=|!=|=~|!~)"[^"]*")(,\w+(=|!=|=~|!~)"[^"]*")*', match[1])
        assert inside, match[0]
        labels.update(re.findall(r'(\w+)(?:=|!=|=~|!~)"', match[1]))
        return ""

    def grouped(match: re.Match[str]) -> str:
        labels.update(name.strip() for name in match[1].split(","))
        return ""

    rest = re.sub(r"\{([^}]*)\}", selected, expression)
    rest = re.sub(r"\[(?:\d+[smh]|\$__rate_interval)\]", "", rest)
    rest = re.sub(r"\bby \(([^)]*)\)", grouped, rest)
    functions = set(re.findall(r"\b([a-z_]\w*)\s*\(", rest))
    metrics = set(re.findall(r"\b[a-z_]\w*\b(?!\s*\()", rest)) - functions
    left = re.sub(r"\b[a-z_]\w*\b|\d+(?:\.\d+)?|[<>]=?|==|[()/,\s]", "", rest)
    assert left == "", f"unread: {left!r}"
    return metrics, labels, functions


@pytest.mark.parametrize("expression", list(expressions()))
def test_an_expression_asks_for_what_is_shown(expression: str, shown: dict[str, set[str]]) -> None:
    for opening, closing in ("()", "{}", "[]"):
        depth = 0
        for sign in expression:
            depth += (sign == opening) - (sign == closing)
            assert depth >= 0
        assert depth == 0
    metrics, labels, functions = parts(expression)
    assert metrics
    assert metrics <= shown.keys()
    known = set().union(*(shown[name] for name in metrics)) | OF_PROMETHEUS
    assert labels <= known, f"no such label: {labels - known}"
    assert functions <= FUNCTIONS


@pytest.mark.parametrize(
    "expression", ["rate(drawbar_request_total[5m])", 'up{jop="drawbar"}', "up{job=drawbar}", "sum(up", "up ~ 1"]
)
def test_a_wrong_expression_is_found(expression: str, shown: dict[str, set[str]]) -> None:
    with pytest.raises(AssertionError):
        test_an_expression_asks_for_what_is_shown(expression, shown)


def test_alerts_say_what_to_do() -> None:
    assert len({rule["alert"] for rule in RULES}) == len(RULES)
    for rule in RULES:
        assert rule["labels"]["severity"] in {"critical", "warning"}
        assert re.fullmatch(r"\d+m", rule["for"])
        assert rule["annotations"]["summary"]
        assert rule["annotations"]["description"].endswith(".")


def test_prometheus_reads_the_alerts_and_the_port_of_the_page() -> None:
    assert CONFIG["rule_files"] == ["alerts.yml"]
    (job,) = CONFIG["scrape_configs"]
    assert job["job_name"] == "drawbar"
    (replicas,) = job["static_configs"]
    ports = {target.rpartition(":")[2] for target in replicas["targets"]}
    assert re.findall(r"DRAWBAR_METRICS_PORT=(\d+)", PAGE) == list(ports)


def test_panels_do_not_overlap() -> None:
    taken: set[tuple[int, int]] = set()
    for panel in DASHBOARD["panels"]:
        place = panel["gridPos"]
        cells = {
            (x, y)
            for x in range(place["x"], place["x"] + place["w"])
            for y in range(place["y"], place["y"] + place["h"])
        }
        assert not cells & taken, panel["title"]
        assert place["x"] + place["w"] <= 24
        taken |= cells
    assert len({panel["id"] for panel in DASHBOARD["panels"]}) == len(DASHBOARD["panels"])


def test_the_page_lists_every_metric(shown: dict[str, set[str]]) -> None:
    listed = set(re.findall(r"^\| `(drawbar_\w+)`", PAGE, re.MULTILINE))
    ours = {re.sub(r"_(bucket|sum|count)$", "", name) for name in shown if name.startswith("drawbar_")}
    assert listed == ours


def test_the_page_lists_every_setting() -> None:
    listed = set(re.findall(r"^\| `DRAWBAR_(\w+)`", PAGE, re.MULTILINE))
    assert listed == {"LOG_FORMAT", "LOG_LEVEL", "ACCESS_LOG", "METRICS", "METRICS_HOST", "METRICS_PORT", "TRACES"}
    assert {name.lower() for name in listed} <= set(Settings.__struct_fields__)
