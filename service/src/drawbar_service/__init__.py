"""Field-machine matching as a stateless REST service."""

__version__ = "0.3.0"
