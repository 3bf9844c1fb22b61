"""Lines of log, as text for people or as JSON for machines, and the access log.

Nothing of a body, a query, a header or a raw path gets into the access log, save a request id and a trace id, both of
which are held to a form. In any other line, what could pass for a line of its own is made harmless.
"""

import logging
import re
import sys
from datetime import UTC, datetime
from types import TracebackType
from typing import Any

import msgspec

from drawbar_service.observability.witness import Asked, Served, Witness
from drawbar_service.settings import Settings

ACCESS = "drawbar_service.access"
_TRACEPARENT = re.compile(r"(?!ff)([0-9a-f]{2})-(?!0{32})([0-9a-f]{32})-(?!0{16})[0-9a-f]{16}-[0-9a-f]{2}(-.*)?")
# Controls but the line feed, separators of lines, and marks that turn the direction of what follows.
_HARMFUL = re.compile("[\x00-\x09\x0b-\x1f\x7f-\x9f\u2028\u2029\u200e\u200f\u202a-\u202e\u2066-\u2069]")
_LONGEST_REASON = 200
_ENCODER = msgspec.json.Encoder()


class AccessLine(msgspec.Struct, frozen=True, omit_defaults=True):
    """One request in the access log, with what every line of log has, so that it is encoded in one go."""

    time: datetime
    level: str
    logger: str
    request_id: str
    method: str
    route: str
    status: int | None
    """None: nothing was answered."""
    duration_ms: float
    bytes: int
    """Of the body of the answer."""
    whole: bool = True
    """False: the answer broke off."""
    client: str = ""
    """Id of the key the caller showed; never the key."""
    trace_id: str = ""

    def __str__(self) -> str:
        """Return the line as text."""
        words = [self.method, self.route, str(self.status or "-"), f"{self.duration_ms:g} ms", f"{self.bytes} bytes"]
        words += ["broken off"] * (not self.whole)
        words += [f"request {self.request_id}"] * bool(self.request_id)
        words += [f"client {self.client}"] * bool(self.client)
        words += [f"trace {self.trace_id}"] * bool(self.trace_id)
        return " ".join(words)


class Failure(msgspec.Struct, frozen=True):
    """An exception in a line of log."""

    type: str
    reason: str
    """At most two hundred characters of what it says."""
    where: list[str]
    """Places in the code, the innermost last; without values."""


class _Entry(msgspec.Struct, frozen=True, omit_defaults=True):
    time: datetime
    level: str
    logger: str
    message: str = ""
    request_id: str = ""
    exception: Failure | None = None


def trace_id_of(asked: Asked) -> str:
    """Return the id of the trace in the header ``traceparent``, empty if there is none (W3C Trace Context)."""
    found = [value for name, value in asked["headers"] if name == b"traceparent"]
    if len(found) != 1 or len(found[0]) > 200:
        return ""
    match = _TRACEPARENT.fullmatch(found[0].decode("latin-1"))
    # Later versions may append fields; version 00 has none.
    return match[2] if match is not None and not (match[1] == "00" and match[3]) else ""


class AccessLog(Witness):
    """Writes a line for every request to the logger ``drawbar_service.access``."""

    def __init__(self) -> None:
        self._log = logging.getLogger(ACCESS)

    def end(self, begun: Any, served: Served) -> None:
        """Write the line."""
        if not self._log.isEnabledFor(logging.INFO):
            return
        state: dict[str, Any] = served.asked["state"]
        line = AccessLine(
            time=datetime.now(UTC),
            level="info",
            logger=ACCESS,
            request_id=state.get("request_id", ""),
            method=served.method,
            route=served.route,
            status=served.status or None,
            duration_ms=round(served.seconds * 1e3, 3),
            bytes=served.sent,
            whole=served.whole,
            client=state.get("client", ""),
            trace_id=state.get("trace_id") or trace_id_of(served.asked),
        )
        # Straight to the handlers: where in the code this was said is the same each time, and costs to find out.
        self._log.handle(self._log.makeRecord(ACCESS, logging.INFO, "", 0, line, (), None))


class JsonFormatter(logging.Formatter):
    """A JSON object a line."""

    def format(self, record: logging.LogRecord) -> str:
        """Return a record as one line."""
        line: object = record.msg
        if not isinstance(line, AccessLine):
            line = _Entry(
                datetime.fromtimestamp(record.created, UTC),
                record.levelname.lower(),
                record.name,
                _encodable(record.getMessage()),
                str(getattr(record, "request_id", "")),
                _failure(record.exc_info) if record.exc_info else None,
            )
        return _ENCODER.encode(line).decode()


class TextFormatter(logging.Formatter):
    """Text in which only a line that begins a record looks like one."""

    def __init__(self) -> None:
        super().__init__("%(asctime)s %(levelname)s %(name)s: %(message)s")

    def format(self, record: logging.LogRecord) -> str:
        """Return a record, with any further lines set in."""
        return _HARMFUL.sub(_shown, super().format(record)).replace("\n", "\n    ")


def _shown(harmful: re.Match[str]) -> str:
    return harmful[0].encode("unicode_escape").decode()


def _encodable(text: str) -> str:
    """Return a text without halves of characters, which JSON in UTF-8 cannot hold."""
    return text.encode("utf-8", "backslashreplace").decode()


def _failure(
    told: tuple[type[BaseException], BaseException, TracebackType | None] | tuple[None, None, None],
) -> Failure | None:
    kind, error, trace = told
    if kind is None or error is None:
        return None
    where: list[str] = []
    while trace is not None:
        code = trace.tb_frame.f_code
        where.append(f"{code.co_filename}:{trace.tb_lineno} {code.co_qualname}")
        trace = trace.tb_next
    return Failure(f"{kind.__module__}.{kind.__qualname__}", _encodable(str(error)[:_LONGEST_REASON]), where)


def configure_logging(settings: Settings) -> None:
    """Send the logs of this process to standard error, in the form the settings ask for."""
    as_json = settings.log_format == "json" or (settings.log_format == "auto" and not sys.stderr.isatty())
    handler = logging.StreamHandler()
    handler.setFormatter(JsonFormatter() if as_json else TextFormatter())
    logging.basicConfig(level=settings.log_level.upper(), handlers=[handler])
    logging.captureWarnings(True)
