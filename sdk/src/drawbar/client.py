"""The two clients: the same methods, to be called or to be awaited."""

from drawbar._async_client import AsyncClient as AsyncClient
from drawbar._sync_client import Client as Client

__all__ = ["AsyncClient", "Client"]
