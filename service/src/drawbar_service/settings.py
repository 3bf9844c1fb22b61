"""Settings of the service, from environment variables ``DRAWBAR_...``."""

import difflib
import os
import types
from collections.abc import Mapping
from typing import Annotated, Any, Literal, Union, get_args, get_origin

import msgspec
from msgspec import Meta

Port = Annotated[int, Meta(ge=1, le=65535)]
BodyLimit = Annotated[int, Meta(ge=1024)]
Count = Annotated[int, Meta(ge=1)]
DrainSeconds = Annotated[int, Meta(ge=0, le=300)]
Seconds = Annotated[float, Meta(ge=0.0, le=60.0)]


class Settings(msgspec.Struct, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """What can be set; each field is the variable ``DRAWBAR_<FIELD>`` in capitals."""

    host: str = "127.0.0.1"
    """Address to listen on."""
    port: Port = 8000
    """Port to listen on."""
    connections: Count = 2048
    """Connections open at the same time; beyond it the server itself answers a plain 503."""
    line: Count = 256
    """Requests of one kind that wait for their turn, of all callers together."""
    queue_patience: Seconds = 2.0
    """Longest wait for a turn, before a 503 [s]."""
    long_patience: Seconds = 10.0
    """Longest wait for a turn at what takes more than a moment [s]."""
    long_seconds: Count = 30
    """From the arrival of a request to its answer, at most [s]."""
    processes: Annotated[int, Meta(ge=0, le=64)] | None = None
    """Processes for what takes long, and as many for pictures; left out: one for each processor, 0: threads."""
    max_body_bytes: BodyLimit = 65_536
    """Largest body of a single calculation."""
    season_body_bytes: BodyLimit = 65_536
    """Largest body of a season."""
    days_body_bytes: BodyLimit = 1_048_576
    """Largest body of days from weather: many years, day by day."""
    batch_body_bytes: BodyLimit = 4_194_304
    """Largest body of a batch that is read whole: JSON and MessagePack."""
    batch_stream_bytes: BodyLimit = 1_073_741_824
    """Largest body of a batch that is read as it comes: NDJSON, CSV and Arrow."""
    batch_rows: Count = 1_000_000
    """Most rows of an answer that is made whole: JSON and MessagePack."""
    batch_values: Count = 4_000_000
    """Most values of such an answer, rows by columns."""
    batch_stream_rows: Count = 20_000_000
    """Most rows of an answer that is sent as it is made: NDJSON, CSV and Arrow."""
    batch_seconds: Count = 900
    """Most of a processor's time for one batch, by what its rows were measured to cost and by the clock [s]."""
    batch_slots: Count = 4
    """Batches at work at the same time, half of them of one caller."""
    batch_patience: Count = 60
    """Longest wait for a caller of a batch who sends nothing, and for any caller who takes nothing [s]."""
    head_patience: Count = 20
    """Longest wait for the head of a request once it has begun, and for a new caller to begin one [s]."""
    body_patience: Count = 20
    """Longest wait for the whole body of a single calculation [s]."""
    keep_alive: Count = 65
    """Longest wait for the next request on a connection; longer than a proxy in front keeps one unused [s]."""
    drain_seconds: DrainSeconds = 0
    """Between being asked to stop (SIGTERM) and refusing callers; long enough for balancers to see /readyz fail [s]."""
    log_format: Literal["auto", "text", "json"] = "auto"
    """Form of the log; ``auto`` is text on a terminal, else JSON."""
    log_level: Literal["debug", "info", "warning", "error"] = "info"
    """Least severe lines that are logged."""
    access_log: bool = False
    """Whether every request is logged, at level ``info``."""
    metrics: bool = False
    """Whether metrics are kept for Prometheus, and shown at ``/metrics``; needs the extra ``metrics``."""
    metrics_host: str = "127.0.0.1"
    """Address of a `metrics_port`."""
    metrics_port: Port | None = None
    """Port that shows the metrics apart from the service; left out: beside the service."""
    traces: bool = False
    """Whether traces are sent, as the variables ``OTEL_...`` say; needs the extra ``traces``."""
    api_keys: str = ""
    """File of API keys; with it or `jwks` set, callers need a key or a token."""
    jwks: str = ""
    """File or address of the public keys (JWKS) that tokens are checked with."""
    jwt_issuer: str = ""
    """Who must have issued a token (`iss`)."""
    jwt_audience: str = ""
    """Whom a token must be for (`aud`)."""
    jwt_algorithms: str = "RS256,ES256,EdDSA"
    """Signatures of tokens that are admitted."""
    rate: str = ""
    """Cost units that a caller without a rate of its own may spend, such as 600/min; empty for no limit."""
    quota: str = ""
    """The same over a longer time, such as 200000/d; empty for no limit."""
    redis_url: str = ""
    """Redis or Valkey in which replicas share what is left of each rate; empty for each on its own."""
    cors_origins: str = ""
    """Web origins whose pages may call, such as https://farm.example, with commas between; empty for none."""
    frame_ancestors: str = ""
    """Web origins whose pages may show this service in a frame, with commas between; empty for none."""
    resource_policy: Literal["same-origin", "same-site", "cross-origin"] = "same-origin"
    """Whose pages may show pictures of this service by their address (`Cross-Origin-Resource-Policy`)."""

    def body_bytes(self, calculation: str) -> int:
        """Return the largest body of a calculation that is read [bytes]."""
        apart = {"season": self.season_body_bytes, "days": self.days_body_bytes}
        return apart.get(calculation, self.max_body_bytes)


class BadSettings(ValueError):  # noqa: N818 - it names the settings
    """An environment variable holds something that cannot be."""


_RETIRED = {
    "DRAWBAR_CONCURRENCY": "calculations take turns now, see DRAWBAR_LINE",
    "DRAWBAR_LONG_SLOTS": "what takes long has processes of its own now, see DRAWBAR_PROCESSES",
}
"""Settings of earlier versions that do nothing any more."""
_OF_THE_CLIENT = {"DRAWBAR_URL", "DRAWBAR_API_KEY", "DRAWBAR_TOKEN"}
_CLOSE = 0.855
"""How much like a setting a variable has to look to be taken for a slip of the pen; ``DRAWBAR_SERVICE_PORT``, which
Kubernetes sets, comes to 0.85."""


def read_settings(environment: Mapping[str, str] | None = None) -> Settings:
    """Return the settings in `environment`, the process's own by default.

    Raises
    ------
    BadSettings
        Naming the variable and what would be right; also if its name is a setting's but for a slip of the pen.
    """
    environment = os.environ if environment is None else environment
    fields = {f"DRAWBAR_{field.name.upper()}": field for field in msgspec.structs.fields(Settings)}
    given: dict[str, str] = {}
    for variable, value in environment.items():
        if variable in fields:
            given[fields[variable].name] = value
            try:
                msgspec.convert({fields[variable].name: value}, Settings, strict=False)
            except msgspec.ValidationError as error:
                raise BadSettings(f"{variable}={value!r}: must be {_wanted(fields[variable].type)}") from error
        elif variable.startswith("DRAWBAR_") and variable not in _OF_THE_CLIENT and variable not in _RETIRED:
            # A misspelt DRAWBAR_API_KEYS would let anybody in. Whatever looks like none of ours is somebody else's.
            close = difflib.get_close_matches(variable, fields, n=1, cutoff=_CLOSE)
            if close:
                raise BadSettings(f"{variable} is not a setting; did you mean {close[0]}?")
    return msgspec.convert(given, Settings, strict=False)


def retired_settings(environment: Mapping[str, str] | None = None) -> list[str]:
    """Return a sentence for each setting in `environment` that does nothing any more."""
    environment = os.environ if environment is None else environment
    return [f"{name} does nothing any more: {why}" for name, why in _RETIRED.items() if name in environment]


def _wanted(kind: Any) -> str:
    """Say what a setting of this type has to be."""
    if get_origin(kind) is Literal:
        return f"one of {', '.join(get_args(kind))}"
    if get_origin(kind) is Annotated:
        base, meta = get_args(kind)
        bounds = ((meta.ge, "at least"), (meta.le, "at most"))
        told = " and ".join(f"{words} {bound:g}" for bound, words in bounds if bound is not None)
        return f"{'a whole number' if base is int else 'a number'}, {told}"
    if get_origin(kind) in (Union, types.UnionType):
        return _wanted(get_args(kind)[0])
    return "true or false"
