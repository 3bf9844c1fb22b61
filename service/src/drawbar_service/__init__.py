"""Field-machine matching as a stateless REST service."""

from importlib.metadata import version

__version__ = version("drawbar-service")
