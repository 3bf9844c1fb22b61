"""What the settings ask to be seen, put together for the application."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from importlib.util import find_spec
from typing import Any

from litestar.handlers import HTTPRouteHandler
from litestar.types import ASGIApp

from drawbar_service.api.calculation import Calculation
from drawbar_service.batch.run import Evaluate, Watch
from drawbar_service.observability.logs import AccessLog
from drawbar_service.observability.witness import Witness, told
from drawbar_service.settings import BadSettings, Settings

_EXTRAS = {"metrics": ("prometheus_client",), "traces": ("opentelemetry.sdk", "opentelemetry.exporter.otlp.proto.http")}


class Observer:
    """Puts witnesses around an application; without any it hands everything back as it was.

    Parameters
    ----------
    witnesses : sequence of Witness
        In the order in which they see a request come in.
    routes : sequence of HTTPRouteHandler
        What is served for those who look.
    on_startup, on_shutdown : sequence of callable
        What is done before the first request and after the last.
    """

    def __init__(
        self,
        witnesses: Sequence[Witness] = (),
        routes: Sequence[HTTPRouteHandler] = (),
        on_startup: Sequence[Callable[[], None]] = (),
        on_shutdown: Sequence[Callable[[], None]] = (),
    ) -> None:
        self._witnesses = witnesses
        self.routes = routes
        self.on_startup = on_startup
        self.on_shutdown = on_shutdown

    def around(self, app: ASGIApp) -> ASGIApp:
        """Return an ASGI application with the witnesses around it."""
        return told(app, self._witnesses) if self._witnesses else app

    def watched(self, calculations: Iterable[Calculation[Any, Any]]) -> Iterable[Calculation[Any, Any]]:
        """Return calculations whose functions are seen at work."""
        for one in calculations:
            compute = one.compute
            for witness in self._witnesses:
                compute = witness.around_compute(one.name, compute)
            yield one if compute is one.compute else replace(one, compute=compute)

    def watch(self, calculation: str) -> Watch | None:
        """Return what is put around the blocks of a batch; to be called where the batch begins."""
        found = [watch for witness in self._witnesses if (watch := witness.around_blocks(calculation)) is not None]
        if not found:
            return None

        def all_of_them(evaluate: Evaluate) -> Evaluate:
            for one in found:
                evaluate = one(evaluate)
            return evaluate

        return all_of_them


def check_extras(settings: Settings) -> None:
    """Check that what the settings turn on is installed.

    Raises
    ------
    BadSettings
        Naming the extra to install.
    """
    for extra, modules in _EXTRAS.items():
        if getattr(settings, extra) and not all(map(_installed, modules)):
            raise BadSettings(
                f"DRAWBAR_{extra.upper()} is on, and what it needs is not installed: pip install './service[{extra}]'"
            )


def _installed(module: str) -> bool:
    try:
        return find_spec(module) is not None
    except ModuleNotFoundError:
        return False


def observe(settings: Settings) -> Observer:
    """Return the observer that the settings ask for.

    Raises
    ------
    BadSettings
        If what they turn on is not installed.
    """
    check_extras(settings)
    witnesses: list[Witness] = []
    routes: list[HTTPRouteHandler] = []
    on_startup: list[Callable[[], None]] = []
    on_shutdown: list[Callable[[], None]] = []
    if settings.traces:
        from drawbar_service.observability.traces import Traces  # noqa: PLC0415 - costs memory and time to load

        traces = Traces()
        # First in, last out: the access log finds the id of the trace.
        witnesses.append(traces)
        on_shutdown.append(traces.close)
    if settings.metrics:
        from drawbar_service.observability.metrics import Metrics  # noqa: PLC0415 - see above

        metrics = Metrics(settings)
        witnesses.append(metrics)
        if settings.metrics_port is None:
            routes.append(metrics.route())
        else:
            on_startup.append(metrics.open)
            on_shutdown.append(metrics.close)
    if settings.access_log:
        witnesses.append(AccessLog())
    return Observer(witnesses, routes, on_startup, on_shutdown)
