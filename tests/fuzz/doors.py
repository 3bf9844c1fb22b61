"""The doors through which bytes of strangers come in, each as a function that fails only if the service would.

A door returns whether it took the bytes. The normal tests send the corpus through; tests/long/fuzz.py sends what a
coverage-guided fuzzer makes of it.
"""

import math
from collections.abc import Callable, Mapping
from threading import Event

import msgspec

from drawbar_service.api.answers import Ledger
from drawbar_service.api.faults import ImpossibleInput
from drawbar_service.api.v1.batch.request import ARROW, CSV, NDJSON
from drawbar_service.api.v1.field_capacity import FIELD_CAPACITY
from drawbar_service.api.v1.match import MATCH
from drawbar_service.api.wire import JSON, MSGPACK, Reader, UnreadableBody, write
from drawbar_service.batch.answer import Batch, TooBig, answer
from drawbar_service.quantities import Depth, Price, RatedPower, Share, Speed, decode_quantity

REFUSED = (UnreadableBody, ImpossibleInput, TooBig)
_LONGEST_FAULT = 1_000
_KINDS = (Depth, Speed, Share, RatedPower, Price)
_READERS = {calculation.name: Reader(calculation.request) for calculation in (MATCH, FIELD_CAPACITY)}


def quantity(data: bytes) -> bool:
    """Read a text as each of some kinds of quantity; what is taken is finite, in range, and read back the same."""
    text = data.decode("utf-8", "surrogateescape")
    taken = False
    for kind in _KINDS:
        try:
            value = decode_quantity(kind, text)
        except ValueError as fault:
            if len(str(fault)) > _LONGEST_FAULT:
                raise AssertionError("a fault is no place to repeat what was sent") from fault
            continue
        taken = True
        assert isinstance(value, kind)
        assert math.isfinite(value)
        assert kind.least is None or value >= kind.least
        assert kind.most is None or value <= kind.most
        for units in ("metric", "us"):
            back = decode_quantity(kind, kind.words(value, units, digits=17))
            assert isinstance(back, float)
            assert math.isclose(back, value, rel_tol=1e-12, abs_tol=1e-300)
    return taken


def _single(media_type: str) -> Callable[[bytes], bool]:
    def door(data: bytes) -> bool:
        taken = False
        for calculation in (MATCH, FIELD_CAPACITY):
            try:
                asked = _READERS[calculation.name].read(data, media_type)
                content = write(calculation.compute(asked.request, Ledger("metric")), JSON, "metric")
            except REFUSED:
                continue
            taken = True
            assert b"NaN" not in content
            msgspec.json.decode(content)
        return taken

    return door


def _batch(sent: str, wanted: str) -> Callable[[bytes], bool]:
    asked = Batch(FIELD_CAPACITY, sent, wanted, "metric", 10_000)

    def door(data: bytes) -> bool:
        try:
            return bool(sum(map(len, answer(asked, [data], Event()))))
        except REFUSED:
            return False

    return door


DOORS: Mapping[str, Callable[[bytes], bool]] = {
    "quantity": quantity,
    "single-json": _single(JSON),
    "single-msgpack": _single(MSGPACK),
    "batch-json": _batch(JSON, JSON),
    "batch-msgpack": _batch(MSGPACK, MSGPACK),
    "batch-ndjson": _batch(NDJSON, NDJSON),
    "batch-csv": _batch(CSV, CSV),
    "batch-arrow": _batch(ARROW, ARROW),
}
