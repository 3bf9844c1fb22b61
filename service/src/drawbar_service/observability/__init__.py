"""Seeing inside: an access log, metrics for Prometheus and OpenTelemetry traces, each off until a setting turns it on.

What is off is neither loaded nor in the way of a request.
"""

from drawbar_service.observability.logs import configure_logging as configure_logging
from drawbar_service.observability.observer import Observer as Observer
from drawbar_service.observability.observer import check_extras as check_extras
from drawbar_service.observability.observer import observe as observe
