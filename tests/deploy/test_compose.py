"""compose.yaml keeps the hardening that it promises, and starts what the tests start."""

from pathlib import Path
from typing import Any

import pytest
import yaml

from drawbar_service.serving import FINISH_SECONDS
from drawbar_service.settings import Settings

Compose = dict[str, Any]
REPLICAS = ("drawbar-1", "drawbar-2")


@pytest.fixture
def compose(root: Path) -> Compose:
    return yaml.safe_load((root / "compose.yaml").read_text("utf-8"))


@pytest.fixture
def services(compose: Compose) -> dict[str, Compose]:
    return compose["services"]


def image_environment(root: Path) -> dict[str, str]:
    words = (root / "deploy/Containerfile").read_text("utf-8").replace("\\\n", " ").split()
    return dict(word.split("=", 1) for word in words if word.startswith("DRAWBAR_"))


def test_nobody_has_what_he_does_not_need(services: dict[str, Compose]) -> None:
    for name, service in services.items():
        assert service["read_only"] is True, name
        assert service["cap_drop"] == ["ALL"], name
        assert service["security_opt"] == ["no-new-privileges:true"], name
        assert not {"cap_add", "privileged", "devices", "network_mode", "pid", "ipc"} & set(service), name
        assert service["mem_limit"], name
        assert service["cpus"] > 0, name
        assert service["pids_limit"] > 0, name
        assert service["healthcheck"]["test"][0] == "CMD", f"{name}: a check through a shell"
        if name not in REPLICAS:
            user, _, group = service["user"].partition(":")
            assert int(user) > 0, name
            assert int(group) >= 0, name


def test_images_are_named_with_their_version(services: dict[str, Compose]) -> None:
    for name, service in services.items():
        assert name in REPLICAS or ":" in service["image"], name
        assert "latest" not in service["image"], name


def test_only_the_proxy_and_grafana_are_reached_and_only_from_this_machine(services: dict[str, Compose]) -> None:
    opened = {name: service["ports"] for name, service in services.items() if "ports" in service}
    assert opened == {"proxy": ["127.0.0.1:8000:8080"], "grafana": ["127.0.0.1:3000:3000"]}
    assert services["grafana"]["profiles"] == services["prometheus"]["profiles"] == ["metrics"]
    assert not any("profiles" in services[name] for name in ("proxy", "counts", *REPLICAS))


def test_the_service_has_no_way_out(compose: Compose) -> None:
    assert compose["networks"]["inside"]["internal"] is True
    for name in ("counts", "prometheus", *REPLICAS):
        assert list(compose["services"][name]["networks"]) == ["inside"], name


def test_folders_of_this_machine_are_only_read_and_are_here(root: Path, services: dict[str, Compose]) -> None:
    for name, service in services.items():
        for volume in service.get("volumes", []):
            source, _, rest = volume.partition(":")
            if source.startswith("."):
                assert rest.endswith(":ro"), f"{name}: {volume}"
                assert (root / source).exists(), f"{name}: {volume}"
    assert not any("volumes" in services[name] for name in REPLICAS)


def test_nginx_runs_with_the_file_that_is_tested(root: Path, services: dict[str, Compose]) -> None:
    proxy = services["proxy"]
    assert proxy["volumes"] == ["./deploy/nginx.conf:/etc/nginx/nginx.conf:ro"]
    assert proxy["entrypoint"][proxy["entrypoint"].index("-c") + 1] == "/etc/nginx/nginx.conf"
    assert proxy["ports"][0].endswith(":8080")
    text = (root / "deploy/nginx.conf").read_text("utf-8")
    assert "listen 8080;" in text
    assert all(f"server {name}:8000 " in text for name in REPLICAS)
    assert proxy["tmpfs"][0].startswith("/run/nginx:")
    assert {name: one["condition"] for name, one in proxy["depends_on"].items()} == dict.fromkeys(
        REPLICAS, "service_healthy"
    )


def test_replicas_are_alike_and_trust_the_proxy_alone(services: dict[str, Compose]) -> None:
    first, second = ({**services[name]} for name in REPLICAS)
    addresses = {one.pop("networks")["inside"]["ipv4_address"] for one in (first, second)}
    assert first == second
    proxy = services["proxy"]["networks"]["inside"]["ipv4_address"]
    assert len({proxy, *addresses}) == 3
    assert first["environment"]["FORWARDED_ALLOW_IPS"] == proxy


def test_every_setting_exists(root: Path, services: dict[str, Compose]) -> None:
    known = {f"DRAWBAR_{name.upper()}" for name in Settings.__struct_fields__}
    assert set(image_environment(root)) <= known
    for name in REPLICAS:
        assert {one for one in services[name]["environment"] if one.startswith("DRAWBAR_")} <= known


def test_replicas_are_given_the_time_to_stop(root: Path, services: dict[str, Compose]) -> None:
    drain = int(image_environment(root)["DRAWBAR_DRAIN_SECONDS"])
    assert drain >= 1
    for name in REPLICAS:
        assert int(services[name]["stop_grace_period"].removesuffix("s")) > drain + FINISH_SECONDS


def test_prometheus_asks_both_replicas_and_grafana_asks_prometheus(root: Path, services: dict[str, Compose]) -> None:
    asked = yaml.safe_load((root / "deploy/prometheus/prometheus.yml").read_text("utf-8"))
    (job,) = asked["scrape_configs"]
    settings = services[REPLICAS[0]]["environment"]
    assert settings["DRAWBAR_METRICS"] == "true"
    port = settings["DRAWBAR_METRICS_PORT"]
    assert [target for one in job["static_configs"] for target in one["targets"]] == [
        f"{one}:{port}" for one in REPLICAS
    ]
    (source,) = yaml.safe_load((root / "deploy/grafana/source.yml").read_text("utf-8"))["datasources"]
    assert source["url"] == "http://prometheus:9090"
    (provider,) = yaml.safe_load((root / "deploy/grafana/dashboards.yml").read_text("utf-8"))["providers"]
    (dashboard,) = [one for one in services["grafana"]["volumes"] if one.startswith("./deploy/grafana/dashboard.json:")]
    assert dashboard.split(":")[1].startswith(provider["options"]["path"])


def test_compose_builds_the_container_file_and_repeats_its_health_check(
    root: Path, services: dict[str, Compose]
) -> None:
    text = (root / "deploy/Containerfile").read_text("utf-8").replace("\\\n", " ")
    (image_check,) = [line for line in text.splitlines() if line.startswith("HEALTHCHECK ")]
    for name in REPLICAS:
        build = services[name]["build"]
        assert (root / build["context"] / build["dockerfile"]).is_file()
        kind, *command = services[name]["healthcheck"]["test"]
        assert kind == "CMD"
        assert yaml.safe_load(image_check.partition(" CMD ")[2]) == command
