"""Metrics for Prometheus. Loaded only where they are on; needs the extra ``metrics``.

Labels are route templates, known methods, classes of status and names out of closed lists, so that no caller can make
up a new series.
"""

import platform
from collections.abc import Callable
from threading import Thread
from typing import Any, Literal, cast, get_args
from wsgiref.simple_server import WSGIServer

from litestar import Request, Response, route
from litestar.handlers import HTTPRouteHandler
from prometheus_client import (
    CollectorRegistry,
    Counter,
    Gauge,
    Histogram,
    Info,
    ProcessCollector,
    disable_created_metrics,
    start_http_server,
)
from prometheus_client.exposition import choose_encoder

from drawbar_service import __version__
from drawbar_service.api.answers import MODEL_VERSION, About
from drawbar_service.api.problems import KINDS
from drawbar_service.api.v1.batch.request import PATH as BATCH_PATH
from drawbar_service.api.v1.match.answer import MatchAnswer
from drawbar_service.api.words import WarningCode
from drawbar_service.batch.plan import Plan
from drawbar_service.batch.run import Evaluate, Watch
from drawbar_service.batch.table import Block
from drawbar_service.model.chance import VERDICTS
from drawbar_service.model.limits import LimitName
from drawbar_service.observability.witness import Asked, Compute, Served, Witness
from drawbar_service.selfcheck import self_check
from drawbar_service.settings import BadSettings, Settings

PATH = "/metrics"
BUCKETS = (
    *(0.0001, 0.0002, 0.0003, 0.0005, 0.0007, 0.001, 0.0015, 0.002, 0.003, 0.005, 0.01),
    *(0.02, 0.05, 0.1, 0.2, 0.5, 1.0, 2.0, 5.0, 10.0, 30.0, 60.0, 300.0),
)
"""Upper ends of the classes of latency [s]: close together where a single calculation lies, far apart for batches."""
_BATCH_PREFIX = BATCH_PATH.partition("{")[0]
_READ: tuple[Literal["GET"], Literal["HEAD"]] = ("GET", "HEAD")

_Count = Callable[[], None]


class Metrics(Witness):
    """Counts what it sees, in a registry of its own.

    Parameters
    ----------
    settings : Settings
    """

    def __init__(self, settings: Settings) -> None:
        disable_created_metrics()  # they would be as many series again, and nothing here asks for them
        registry = self.registry = CollectorRegistry()
        self._settings = settings
        self._server: tuple[WSGIServer, Thread] | None = None
        ProcessCollector(registry=registry)
        Info("drawbar_build", "Versions of what runs", registry=registry).info(
            {"version": __version__, "model": MODEL_VERSION, "python": platform.python_version()}
        )
        healthy = Gauge("drawbar_self_check", "1: this process computes what it should; 0: not", registry=registry)
        healthy.set_function(lambda: 0.0 if self_check() else 1.0)
        Gauge("drawbar_batch_slots", "Batches that may be at work at the same time", registry=registry).set(
            settings.batch_slots
        )
        self._in_flight = {"batch": 0, "other": 0}
        in_flight = Gauge("drawbar_requests_in_flight", "Requests that are at work", ["kind"], registry=registry)
        for kind in self._in_flight:
            in_flight.labels(kind).set_function(lambda kind=kind: float(self._in_flight[kind]))
        self._requests = Counter("drawbar_requests_total", "Requests", ["method", "route", "status"], registry=registry)
        self._seconds = Histogram(
            "drawbar_request_seconds", "Time to the end of the answer", ["route"], registry=registry, buckets=BUCKETS
        )
        broken = Counter("drawbar_broken_off_total", "Answers begun and not ended", ["by"], registry=registry)
        self._broken = {failed: broken.labels("service" if failed else "caller") for failed in (True, False)}
        problems = Counter("drawbar_problems_total", "Failures by kind", ["kind"], registry=registry)
        self._problems = {status: problems.labels(kind.name) for status, kind in KINDS.items()}
        self._other_problem = problems.labels("other")
        matches = Counter("drawbar_matches_total", "Matches by verdict", ["word", "limit"], registry=registry)
        self._matches = {
            (word, limit): matches.labels(word, limit)
            for word in VERDICTS
            for limit in cast("tuple[str, ...]", get_args(LimitName))
        }
        warnings = Counter("drawbar_warnings_total", "Warnings in answers by code", ["code"], registry=registry)
        self._warnings = {code: warnings.labels(code) for code in cast("tuple[str, ...]", get_args(WarningCode))}
        self._rows = Counter(
            "drawbar_batch_rows_total", "Rows of batches", ["calculation", "outcome"], registry=registry
        )
        self._counts: dict[tuple[str, str, int], tuple[_Count, Callable[[float], None], _Count | None]] = {}

    def begin(self, asked: Asked) -> str:
        """Count a request as at work."""
        kind = "batch" if asked["path"].startswith(_BATCH_PREFIX) else "other"
        self._in_flight[kind] += 1
        return kind

    def end(self, begun: str, served: Served) -> None:
        """Count a request as answered."""
        self._in_flight[begun] -= 1
        key = served.method, served.route, served.status
        counts = self._counts.get(key)
        if counts is None:
            counts = self._counts[key] = self._counts_of(*key)
        request, seconds, problem = counts
        request()
        seconds(served.seconds)
        if problem is not None:
            problem()
        if served.status and not served.whole:
            self._broken[served.failed].inc()

    def _counts_of(self, method: str, route: str, status: int) -> tuple[_Count, Callable[[float], None], _Count | None]:
        """Return what counts such requests, found once for each kind: looking up labels costs more than counting."""
        of_class = f"{status // 100}xx" if status else "none"
        problem = self._problems.get(status, self._other_problem).inc if status >= 400 else None
        return self._requests.labels(method, route, of_class).inc, self._seconds.labels(route).observe, problem

    def around_compute(self, name: str, compute: Compute) -> Compute:
        """Return `compute` with its verdicts and warnings counted."""

        def counted(request: Any, ledger: Any) -> Any:
            answer = compute(request, ledger)
            if isinstance(answer, MatchAnswer):
                self._matches[answer.verdict.word, answer.verdict.binding].inc()
            about: About = answer.about
            for notice in about.warnings:
                self._warnings[notice.code].inc()
            return answer

        return counted

    def around_blocks(self, name: str) -> Watch:
        """Return what counts the rows of a batch."""
        answered, at_fault = (self._rows.labels(name, outcome) for outcome in ("answered", "at-fault"))

        def watch(evaluate: Evaluate) -> Evaluate:
            def counted(plan: Plan, start: int, stop: int) -> Block:
                block = evaluate(plan, start, stop)
                sound = int(block.answered.sum())
                answered.inc(sound)
                at_fault.inc(len(block.answered) - sound)
                return block

            return counted

        return watch

    def route(self) -> HTTPRouteHandler:
        """Return the handler that shows the metrics beside the service."""

        # In a thread: writing some hundred lines takes milliseconds, for which no caller should wait.
        @route(PATH, http_method=_READ, sync_to_thread=True)
        def metrics(request: Request[Any, Any, Any]) -> Response[bytes]:
            encode, media_type = choose_encoder(request.headers.get("accept", ""))
            return Response(encode(self.registry), media_type=media_type)

        return metrics

    def open(self) -> None:
        """Show the metrics at an address of their own.

        Raises
        ------
        BadSettings
            If nothing can be opened there.
        """
        host, port = self._settings.metrics_host, self._settings.metrics_port or 0
        try:
            self._server = start_http_server(port, host, self.registry)
        except OSError as error:
            raise BadSettings(f"DRAWBAR_METRICS_PORT={port} on {host}: {error.strerror or error}") from error

    def close(self) -> None:
        """Show them no more."""
        if self._server is not None:
            server, thread = self._server
            server.shutdown()
            server.server_close()
            thread.join()
