from __future__ import annotations
from typing import Final
from drawbar import _operations as operations
from drawbar._compatible import compatible
from drawbar._options import RetryPolicy
from drawbar._sync_calculations import SyncCalculations
from drawbar.errors import Busy
from drawbar.models import HealthAnswer, MethodsAnswer, SourcesAnswer, TablesAnswer, VersionAnswer, WholeTableAnswer
_ONCE: Final = RetryPolicy(attempts=1)

class Client(SyncCalculations):

    def reference_tables(self) -> TablesAnswer:
        ...

    def reference_table(self, table: str) -> WholeTableAnswer:
        ...

    def methods(self, calculation: str) -> MethodsAnswer:
        ...

    def sources(self) -> SourcesAnswer:
        ...

    def version(self) -> VersionAnswer:
        ...

    def connect(self) -> VersionAnswer:
        ...

    def livez(self) -> HealthAnswer:
        ...

    def ready(self) -> bool:
        ...
