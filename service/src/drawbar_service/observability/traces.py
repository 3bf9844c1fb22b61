"""OpenTelemetry traces. Loaded only where they are on; needs the extra ``traces``.

Where spans go, how many are kept and what the service is called follows the standard variables ``OTEL_...``. No span
holds anything of a body, a query, a raw path or what an exception says.
"""

from collections.abc import Generator
from contextlib import contextmanager
from contextvars import Token
from typing import Any, NamedTuple

from opentelemetry.context import Context, attach, detach, get_current
from opentelemetry.exporter.otlp.proto.http.trace_exporter import OTLPSpanExporter
from opentelemetry.sdk.resources import SERVICE_NAME, SERVICE_VERSION, Resource
from opentelemetry.sdk.trace import TracerProvider
from opentelemetry.sdk.trace.export import BatchSpanProcessor
from opentelemetry.trace import Span, SpanKind, Status, StatusCode, format_trace_id, set_span_in_context
from opentelemetry.trace.propagation.tracecontext import TraceContextTextMapPropagator

from drawbar_service import __version__
from drawbar_service.api.faults import ImpossibleInput
from drawbar_service.batch.plan import Plan
from drawbar_service.batch.run import Evaluate, Watch
from drawbar_service.batch.table import Block
from drawbar_service.observability.witness import UNMATCHED, Asked, Compute, Served, Witness

_CARRIED = (b"traceparent", b"tracestate")


class Begun(NamedTuple):
    """The span of a request, and how to leave it."""

    span: Span
    token: Token[Context]


class Traces(Witness):
    """A span for each request, and in it one for the calculation or one for each block of a batch."""

    def __init__(self) -> None:
        resource = Resource.create({SERVICE_VERSION: __version__})
        if str(resource.attributes.get(SERVICE_NAME, "unknown_service")).startswith("unknown_service"):
            resource = resource.merge(Resource({SERVICE_NAME: "drawbar"}))
        self._provider = TracerProvider(resource=resource, shutdown_on_exit=False)
        self._provider.add_span_processor(BatchSpanProcessor(OTLPSpanExporter()))
        self._tracer = self._provider.get_tracer("drawbar_service", __version__)
        self._propagator = TraceContextTextMapPropagator()

    def begin(self, asked: Asked) -> Begun:
        """Begin the span of a request, in the trace of the caller if there is one."""
        carrier = {name.decode(): value.decode("latin-1") for name, value in asked["headers"] if name in _CARRIED}
        parent = self._propagator.extract(carrier, Context()) if carrier else Context()
        span = self._tracer.start_span(str(asked["method"]), parent, SpanKind.SERVER)
        asked["state"]["trace_id"] = format_trace_id(span.get_span_context().trace_id)
        return Begun(span, attach(set_span_in_context(span, parent)))

    def end(self, begun: Begun, served: Served) -> None:
        """End it, now that route and status are known."""
        detach(begun.token)
        span = begun.span
        if span.is_recording():
            state: dict[str, Any] = served.asked["state"]
            attributes: dict[str, str | int] = {
                "http.request.method": served.method if served.method != "other" else "_OTHER",
                "url.scheme": served.asked["scheme"],
                "http.response.body.size": served.sent,
                "drawbar.request_id": state.get("request_id", ""),
            }
            name = attributes["http.request.method"] if served.method != "other" else "HTTP"
            if served.route != UNMATCHED:
                attributes["http.route"] = served.route
                name = f"{name} {served.route}"
            if served.status:
                attributes["http.response.status_code"] = served.status
            if served.status >= 500 or served.failed:
                attributes["error.type"] = str(served.status) if served.status >= 500 else "broken-off"
                span.set_status(Status(StatusCode.ERROR))
            span.update_name(str(name))
            span.set_attributes(attributes)
        span.end()

    def around_compute(self, name: str, compute: Compute) -> Compute:
        """Return `compute` in a span of its own."""

        def traced(request: Any, ledger: Any) -> Any:
            with self._span("compute", name, get_current()):
                return compute(request, ledger)

        return traced

    def around_blocks(self, name: str) -> Watch:
        """Return what puts each block of a batch, which other threads work, in a span of this request."""
        context = get_current()

        def watch(evaluate: Evaluate) -> Evaluate:
            def traced(plan: Plan, start: int, stop: int) -> Block:
                with self._span("block", name, context) as span:
                    block = evaluate(plan, start, stop)
                    span.set_attributes(
                        {
                            "drawbar.first_row": start,
                            "drawbar.rows": stop - start,
                            "drawbar.rows_answered": int(block.answered.sum()),
                        }
                    )
                    return block

            return traced

        return watch

    @contextmanager
    def _span(self, what: str, calculation: str, context: Context) -> Generator[Span]:
        span = self._tracer.start_span(
            f"{what} {calculation}", context, attributes={"drawbar.calculation": calculation}
        )
        try:
            yield span
        except ImpossibleInput:
            span.set_attribute("drawbar.impossible", True)
            raise
        except Exception as error:
            span.set_attribute("error.type", type(error).__qualname__)
            span.set_status(Status(StatusCode.ERROR))
            raise
        finally:
            span.end()

    def close(self) -> None:
        """Send what is left."""
        self._provider.shutdown()
