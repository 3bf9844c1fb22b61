from __future__ import annotations
from typing import Final
from drawbar import _operations as operations
from drawbar._async_calculations import AsyncCalculations
from drawbar._compatible import compatible
from drawbar._options import RetryPolicy
from drawbar.errors import Busy
from drawbar.models import HealthAnswer, MethodsAnswer, SourcesAnswer, TablesAnswer, VersionAnswer, WholeTableAnswer
_ONCE: Final = RetryPolicy(attempts=1)

class AsyncClient(AsyncCalculations):

    async def reference_tables(self) -> TablesAnswer:
        ...

    async def reference_table(self, table: str) -> WholeTableAnswer:
        ...

    async def methods(self, calculation: str) -> MethodsAnswer:
        ...

    async def sources(self) -> SourcesAnswer:
        ...

    async def version(self) -> VersionAnswer:
        ...

    async def connect(self) -> VersionAnswer:
        ...

    async def livez(self) -> HealthAnswer:
        ...

    async def ready(self) -> bool:
        ...
