"""Made from _async_client.py by openapi/generate.py; edit it there."""

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
    """A client that waits for each answer. Safe to share between threads.

    Parameters
    ----------
    base_url
        Address of the service; else the environment variable DRAWBAR_URL, else http://127.0.0.1:8000.
    api_key
        API key, sent as `Authorization: Bearer`; else the environment variable DRAWBAR_API_KEY, else none.
    token
        Bearer token instead of a key, or a function that gives one, called before each call; else the environment
        variable DRAWBAR_TOKEN, else none.
    timeout
        Limits of one attempt: 5 s to connect and 30 s in all unless said otherwise. A bare number is the total [s].
    retry
        When to repeat a failed attempt. Calculations are pure, so repeating one is always safe.
    units
        Units of the answers; None leaves the choice to the service.
    on_response
        Told about each call's last response, error or not, before the call returns.
    http_client
        An httpx2 client to send with, for proxies, certificates and the like; it stays yours to close.
    transport
        An httpx2 transport to send through instead of the network; it is closed with this client.

    Raises
    ------
    BadSetting
        If a setting cannot work.
    """

    def reference_tables(self) -> TablesAnswer:
        """List the tables behind the answers."""
        return self._call(operations.REFERENCE_TABLES)

    def reference_table(self, table: str) -> WholeTableAnswer:
        """Read one table, whole.

        Parameters
        ----------
        table
            Id of the table, as `reference_tables` lists it.

        Raises
        ------
        NotFound
            If there is no such table.
        """
        return self._call(operations.REFERENCE_TABLE, path={"table": table})

    def methods(self, calculation: str) -> MethodsAnswer:
        """Read the equations behind a calculation.

        Parameters
        ----------
        calculation
            Which one, such as "match" or "field-capacity".

        Raises
        ------
        NotFound
            If there is no such calculation.
        """
        return self._call(operations.METHODS, path={"calculation": calculation})

    def sources(self) -> SourcesAnswer:
        """List the sources that answers cite."""
        return self._call(operations.SOURCES)

    def version(self) -> VersionAnswer:
        """Ask which version of the service and of its models answers here."""
        return self._call(operations.VERSION)

    def connect(self) -> VersionAnswer:
        """Ask which service this is and make sure that it offers all that this client asks for.

        Nobody has to call it; it turns a puzzling failure later into a plain one now.

        Raises
        ------
        Incompatible
            If the service is of another API or older than this client.
        ConnectionFailed
            If nothing answers.
        """
        return compatible(self.version(), self._options.address)

    def livez(self) -> HealthAnswer:
        """Ask whether the service is up, able to calculate or not."""
        return self._call(operations.LIVEZ)

    def ready(self) -> bool:
        """Ask once, without retries, whether the service can calculate now; False if it says that it cannot.

        Raises
        ------
        ConnectionFailed
            If nothing answers.
        """
        try:
            self.with_options(retry=_ONCE)._call(operations.READYZ)
        except Busy:
            return False
        return True
