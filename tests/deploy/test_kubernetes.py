"""The manifests are what Kubernetes reads, and keep the hardening that they promise."""

from pathlib import Path
from typing import Any

import kubernetes_validate
import pytest
import yaml

from drawbar_service import __version__
from drawbar_service.serving import FINISH_SECONDS
from drawbar_service.settings import Settings

Manifest = dict[str, Any]
FOLDER = "deploy/kubernetes"
VERSIONS = ("1.30", "1.33", kubernetes_validate.latest_version())


@pytest.fixture
def kustomization(root: Path) -> Manifest:
    return yaml.safe_load((root / FOLDER / "kustomization.yaml").read_text("utf-8"))


@pytest.fixture
def manifests(root: Path, kustomization: Manifest) -> list[Manifest]:
    return [
        manifest
        for name in kustomization["resources"]
        for manifest in yaml.safe_load_all((root / FOLDER / name).read_text("utf-8"))
    ]


def only(manifests: list[Manifest], kind: str) -> Manifest:
    (found,) = [manifest for manifest in manifests if manifest["kind"] == kind]
    return found


@pytest.fixture
def pod(manifests: list[Manifest]) -> Manifest:
    return only(manifests, "Deployment")["spec"]["template"]["spec"]


@pytest.fixture
def container(pod: Manifest) -> Manifest:
    (container,) = pod["containers"]
    return container


def test_every_file_is_listed(root: Path, kustomization: Manifest) -> None:
    here = {path.name for path in (root / FOLDER).iterdir()} - {"kustomization.yaml"}
    assert sorted(kustomization["resources"]) == sorted(here)
    assert [image["newTag"] for image in kustomization["images"]] == [__version__]


@pytest.mark.parametrize("version", VERSIONS)
def test_every_manifest_fits_the_schemas_of_kubernetes(manifests: list[Manifest], version: str) -> None:
    assert len(manifests) == 7
    for manifest in manifests:
        kubernetes_validate.validate(manifest, version, strict=True)


def test_a_field_that_does_not_exist_is_found(manifests: list[Manifest]) -> None:
    only(manifests, "Deployment")["spec"]["template"]["spec"]["readOnly"] = True
    with pytest.raises(kubernetes_validate.ValidationError):
        kubernetes_validate.validate(only(manifests, "Deployment"), VERSIONS[-1], strict=True)


def test_the_pod_has_nothing_it_does_not_need(pod: Manifest, container: Manifest) -> None:
    assert pod["automountServiceAccountToken"] is False
    assert pod["securityContext"]["runAsNonRoot"] is True
    assert pod["securityContext"]["runAsUser"] > 0
    assert pod["securityContext"]["seccompProfile"] == {"type": "RuntimeDefault"}
    assert container["securityContext"] == {
        "allowPrivilegeEscalation": False,
        "readOnlyRootFilesystem": True,
        "capabilities": {"drop": ["ALL"]},
    }
    assert not {"hostNetwork", "hostPID", "hostIPC", "initContainers"} & set(pod)
    assert pod["volumes"] == [{"name": "fonts", "emptyDir": {"medium": "Memory", "sizeLimit": "16Mi"}}]
    assert container["volumeMounts"] == [{"name": "fonts", "mountPath": "/tmp"}]
    assert not {"command", "args", "lifecycle"} & set(container)
    for side in ("requests", "limits"):
        assert set(container["resources"][side]) == {"cpu", "memory"}


def test_the_namespace_takes_no_other_pods(manifests: list[Manifest]) -> None:
    assert only(manifests, "Namespace")["metadata"]["labels"]["pod-security.kubernetes.io/enforce"] == "restricted"


def test_the_user_is_that_of_the_image(root: Path, pod: Manifest) -> None:
    text = (root / "deploy/Containerfile").read_text("utf-8")
    security = pod["securityContext"]
    assert f"\nUSER {security['runAsUser']}:{security['runAsGroup']}\n" in text


def test_the_service_called_drawbar_sets_no_variables(pod: Manifest, manifests: list[Manifest]) -> None:
    """Kubernetes would set DRAWBAR_PORT=tcp://..., which the service refuses as its port."""
    assert only(manifests, "Service")["metadata"]["name"] == "drawbar"
    assert "port" in Settings.__struct_fields__
    assert pod["enableServiceLinks"] is False


def test_probes_ask_what_they_should(container: Manifest) -> None:
    paths = {kind: container[f"{kind}Probe"]["httpGet"] for kind in ("startup", "readiness", "liveness")}
    assert {kind: one["path"] for kind, one in paths.items()} == {
        "startup": "/readyz",
        "readiness": "/readyz",
        "liveness": "/livez",
    }
    (port,) = container["ports"]
    assert {one["port"] for one in paths.values()} == {port["name"]}
    assert port["containerPort"] == Settings().port


def test_the_pod_is_given_the_time_to_stop(pod: Manifest, container: Manifest) -> None:
    settings = {one["name"]: one["value"] for one in container["env"]}
    assert set(settings) <= {f"DRAWBAR_{name.upper()}" for name in Settings.__struct_fields__}
    drain = int(settings["DRAWBAR_DRAIN_SECONDS"])
    readiness = container["readinessProbe"]
    assert drain >= readiness["periodSeconds"] * (readiness["failureThreshold"] + 1), "time to be seen not ready"
    assert pod["terminationGracePeriodSeconds"] > drain + FINISH_SECONDS + 5


def test_no_request_is_lost_to_a_rollout_or_a_drained_node(pod: Manifest, manifests: list[Manifest]) -> None:
    deployment = only(manifests, "Deployment")["spec"]
    assert deployment["strategy"]["rollingUpdate"] == {"maxUnavailable": 0, "maxSurge": 1}
    assert "replicas" not in deployment, "the autoscaler says how many"
    scaler = only(manifests, "HorizontalPodAutoscaler")["spec"]
    assert scaler["scaleTargetRef"]["name"] == "drawbar"
    assert 2 <= scaler["minReplicas"] < scaler["maxReplicas"]
    assert only(manifests, "PodDisruptionBudget")["spec"]["maxUnavailable"] == 1
    keys = {one["topologyKey"] for one in pod["topologySpreadConstraints"]}
    assert keys == {"kubernetes.io/hostname", "topology.kubernetes.io/zone"}


def test_everything_selects_the_same_pods(manifests: list[Manifest]) -> None:
    label = {"app.kubernetes.io/name": "drawbar"}
    deployment = only(manifests, "Deployment")["spec"]
    template = deployment["template"]
    callers = manifests[-1]["spec"]
    assert template["metadata"]["labels"] == label
    assert deployment["selector"]["matchLabels"] == label
    assert only(manifests, "Service")["spec"]["selector"] == label
    assert only(manifests, "PodDisruptionBudget")["spec"]["selector"]["matchLabels"] == label
    assert callers["podSelector"]["matchLabels"] == label
    for one in template["spec"]["topologySpreadConstraints"]:
        assert one["labelSelector"]["matchLabels"] == label


def test_nobody_speaks_with_anybody_but_callers_with_the_service(
    manifests: list[Manifest], container: Manifest
) -> None:
    nobody, callers = [one["spec"] for one in manifests if one["kind"] == "NetworkPolicy"]
    assert nobody == {"podSelector": {}, "policyTypes": ["Ingress", "Egress"]}
    assert callers["policyTypes"] == ["Ingress"]
    (rule,) = callers["ingress"]
    assert rule["ports"] == [{"protocol": "TCP", "port": container["ports"][0]["containerPort"]}]
    assert all(one for one in rule["from"])
