from drawbar._async_client import AsyncClient as AsyncClient
from drawbar._sync_client import Client as Client
__all__ = ['AsyncClient', 'Client']
