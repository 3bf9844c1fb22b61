"""Make the SDK's sync client from its async one: what waits for an answer from what awaits it."""

import re
import subprocess
import sys
from collections.abc import Mapping
from types import MappingProxyType

SYNC: Mapping[str, str] = MappingProxyType(
    {f"_sync_{name}.py": f"_async_{name}.py" for name in ("calculations", "client", "core", "run", "transport")}
)
"""Files of the sync client, and those they are made from, in sdk/src/drawbar/."""

_WORDS: Mapping[str, str] = MappingProxyType(
    {
        "AsyncBaseTransport": "BaseTransport",
        "AsyncCalculations": "SyncCalculations",
        "AsyncClient": "Client",
        "AsyncCore": "SyncCore",
        "AsyncTransport": "SyncTransport",
        "Tasks": "Threads",
        "__aenter__": "__enter__",
        "__aexit__": "__exit__",
        "_async_calculations": "_sync_calculations",
        "_async_core": "_sync_core",
        "_async_run": "_sync_run",
        "_async_transport": "_sync_transport",
        "aclose": "close",
        "async_transport": "sync_transport",
        "asyncio": "time",
        "attempt_async": "attempt",
    }
)
_PHRASES: Mapping[str, str] = MappingProxyType(
    {
        "What an async client calculates": "What a client calculates",
        "A client to be awaited, under asyncio. Safe to share between the tasks of one event loop.": (
            "A client that waits for each answer. Safe to share between threads."
        ),
        "An httpx2 async ": "An httpx2 ",
        "from any number of tasks of one event loop": "from any number of threads",
        "The service runs on an event loop of its own, so calculating does not hold up the caller's. Starting it "
        "does,\n        for as long as importing it takes. Close it, or use it in an `async with` block, to shut it "
        "down in order.": (
            "Works with or without an event loop running in the calling thread. Close it, or use it in a `with` "
            "block, to\n        shut the service down in order."
        ),
    }
)
"""Sentences that say something else of the sync client."""
_FORMATTED = ("ruff", "--isolated", "--line-length=120", "--target-version=py311")


def sync_source(text: str, made_from: str) -> str:
    """Return the source of a module of the sync client.

    Parameters
    ----------
    text : str
        Source of the module of the async client.
    made_from : str
        Its name.
    """
    for phrase, instead in _PHRASES.items():
        text = text.replace(phrase, instead)
    text = re.sub(r"Awaitable\[(\w+)\]", r"\1", text)
    text = re.sub(r"\basync (def|with|for)\b", r"\1", text)
    text = re.sub(r"\bawait ", "", text)
    text = re.sub(r"\w+", lambda word: _WORDS.get(word[0], word[0]), text)
    title = f'"""Made from {made_from} by openapi/generate.py; edit it there."""'
    text = re.sub(r'\A""".*?"""', title, text, flags=re.DOTALL)
    return formatted(text)


def formatted(text: str) -> str:
    """Return the source of a module with its imports sorted, and formatted."""
    sort = ("check", "--select=I,F401", "--fix", "--quiet", "--config=lint.isort.known-first-party=['drawbar']")
    return _ruff(_ruff(text, *sort), "format")


def _ruff(text: str, command: str, *options: str) -> str:
    name, *settings = _FORMATTED
    call = (sys.executable, "-m", name, command, *settings, *options, "-")
    return subprocess.run(call, input=text, capture_output=True, text=True, check=True).stdout
