"""From the bytes of a batch to the bytes of its answer, a piece at a time."""

from collections.abc import Callable, Iterable, Iterator
from math import inf
from threading import Event
from time import thread_time
from typing import Any, NamedTuple, TypeAlias

from drawbar_service.api.answers import About, Ledger
from drawbar_service.api.calculation import Calculation
from drawbar_service.api.costs import in_words
from drawbar_service.api.faults import Fault, ImpossibleInput
from drawbar_service.api.ranges import noted
from drawbar_service.api.renamed import noted as with_old_words
from drawbar_service.api.renamed import old_words
from drawbar_service.api.v1.batch.request import RowFault
from drawbar_service.api.wire import read_decoded, whole_numbers
from drawbar_service.batch.as_columns import read as read_columns
from drawbar_service.batch.formats import READ_TABLE, WHOLE, WRITE
from drawbar_service.batch.leaves import NoSuchLeaf, ValueKind, leaf
from drawbar_service.batch.parts import Part
from drawbar_service.batch.plan import Plan, make_plan, more_rows, seconds_of
from drawbar_service.batch.rows import heading
from drawbar_service.batch.run import Watch, run
from drawbar_service.batch.table import Block
from drawbar_service.quantities import UnitSystem

_ANY_NUMBER = 10**18
_ROWS_FOR_ABOUT = 100
_SPLIT = "send it in parts"
MOST_FAULTS = 20_000
"""Different sentences about rows at fault, before a batch is ended: one takes a hundred times as long as an answer."""


class TooBig(Exception):  # noqa: N818 - it names the batch, not the service's failure
    """A batch has more bytes or rows than are taken."""


Pay: TypeAlias = Callable[[float, Event], None]
"""Takes what rows cost [s of a processor] from their caller, and waits until there is enough, unless cancelled."""


class Batch(NamedTuple):
    """What is asked, beside the body."""

    calculation: Calculation[Any, Any]
    sent: str
    """Media type of the body."""
    wanted: str
    """Media type of the answer."""
    units: UnitSystem
    most_rows: int
    watch: Watch | None = None
    """Sees every block at work."""
    most_seconds: float = inf
    """Of a processor, for all rows."""
    pay: Pay | None = None
    most_values: int | None = None
    """Of an answer, rows by columns; None: as many as there are."""
    announce: Callable[[], None] | None = None
    """Called where what is asked has old words, before anything is answered."""


def answer(batch: Batch, chunks: Iterable[bytes], cancelled: Event) -> Iterator[bytes]:
    """Yield the answer to a batch. Nothing is yielded before all is known that concerns every row.

    Parameters
    ----------
    batch : Batch
    chunks : iterable of bytes
        The body.
    cancelled : Event
        Set it to stop.

    Raises
    ------
    UnreadableBody
        If the body is not what its media type says.
    ImpossibleInput
        With every fault that concerns all rows.
    TooBig
        If there are too many rows; perhaps only once some of the answer is out.
    Cancelled
        Once `cancelled` is set.
    """
    if batch.sent in WHOLE:
        first, parts = _planned_whole(batch, b"".join(chunks)), iter(())
    else:
        first, parts = _planned(batch, chunks)
    _check_rows(batch, first[0].rows)
    _check_values(batch, first[0], first[0].rows)
    each = _checked_seconds(batch, first[0], first[0].rows)
    if batch.announce is not None and first[0].renamings:
        batch.announce()
    columns = [heading(one, batch.units) for one in first[0].wanted]
    blocks = _blocks(batch, first, each, parts, cancelled)
    yield from WRITE[batch.wanted](blocks, columns, _about(first[0]))


def _planned_whole(batch: Batch, body: bytes) -> tuple[Plan, dict[int, str]]:
    asked = read_columns(body, batch.sent)
    columns = batch.calculation.columns if asked.columns is None else asked.columns
    scenario = whole_numbers(asked.scenario)
    plan = make_plan(batch.calculation, scenario, asked.vary, asked.mode, columns, batch.units, _ANY_NUMBER)
    return plan, {}


def _planned(batch: Batch, chunks: Iterable[bytes]) -> tuple[tuple[Plan, dict[int, str]], Iterator[Part]]:
    def kind_of(pointer: str) -> ValueKind | None:
        try:
            return leaf(batch.calculation.request, old_words(batch.calculation.request).pointer(pointer)[0]).kind
        except NoSuchLeaf:
            return None

    table = READ_TABLE[batch.sent](chunks, kind_of)
    head, part = table.head, next(table.parts, None)
    if part is None:
        raise ImpossibleInput([Fault("/vary", "there are no rows")])
    columns = batch.calculation.columns if head.columns is None else head.columns
    scenario = whole_numbers(head.scenario)
    plan = make_plan(batch.calculation, scenario, part.vary, "zip", columns, batch.units, _ANY_NUMBER)
    return (plan, part.unreadable), table.parts


def _blocks(
    batch: Batch, first: tuple[Plan, dict[int, str]], each: float, parts: Iterator[Part], cancelled: Event
) -> Iterator[Block]:
    plan, unreadable = first
    before, began = 0, thread_time()
    told: set[str] = set()
    while True:
        for block in run(plan, cancelled=cancelled, watch=batch.watch):
            # An estimate can be wrong; the clock is not.
            if thread_time() - began > batch.most_seconds:
                raise TooBig(
                    f"the batch took {in_words(batch.most_seconds)} of a processor, the most there is; {_SPLIT}"
                )
            told |= {fault.detail for fault in block.faults}
            if len(told) > MOST_FAULTS:
                last = block.faults[-1]
                raise ImpossibleInput(
                    [Fault(last.pointer, f"more than {MOST_FAULTS} rows, each with a fault of its own: {last.detail}")]
                )
            if batch.pay is not None:
                batch.pay(len(block.answered) * each, cancelled)
            yield _placed(block, before, unreadable)
        before += plan.rows
        part = next(parts, None)
        if part is None:
            return
        plan, unreadable = more_rows(plan, part.vary), part.unreadable
        _check_rows(batch, before + plan.rows)
        _check_values(batch, plan, before + plan.rows)
        each = _checked_seconds(batch, plan, before + plan.rows)


def _checked_seconds(batch: Batch, plan: Plan, rows: int) -> float:
    """Return what a row is thought to cost [s of a processor]; refuse more rows than there is time for."""
    each = seconds_of(plan)
    if rows * each > batch.most_seconds:
        raise TooBig(
            f"{rows} rows of {batch.calculation.name} take about {in_words(rows * each)} of a processor; at most "
            f"{in_words(batch.most_seconds)} in one request: {_SPLIT} of at most {int(batch.most_seconds / each)} rows"
        )
    return each


def _check_rows(batch: Batch, rows: int) -> None:
    if rows > batch.most_rows:
        more = "; NDJSON, CSV and Arrow may have more" if batch.wanted in WHOLE else ""
        raise TooBig(f"{rows} rows or more; an answer as {batch.wanted} has at most {batch.most_rows}{more}")


def _check_values(batch: Batch, plan: Plan, rows: int) -> None:
    values = rows * len(plan.wanted)
    if batch.most_values is not None and values > batch.most_values:
        raise TooBig(
            f"{rows} rows of {len(plan.wanted)} columns; an answer as {batch.wanted} has at most {batch.most_values} "
            "values: ask for fewer, or for NDJSON, CSV or Arrow"
        )


def _placed(block: Block, before: int, unreadable: dict[int, str]) -> Block:
    """Return a block of one part as a block of the whole, and say which rows could not be read."""
    mine = {at - block.first: unreadable[at] for at in unreadable if 0 <= at - block.first < len(block.answered)}
    if not before and not mine:
        return block
    answered = block.answered.copy()
    answered[list(mine)] = False
    faults = [
        RowFault(row=fault.row + before, pointer=fault.pointer, detail=fault.detail)
        for fault in block.faults
        if fault.row - block.first not in mine
    ]
    faults += [RowFault(row=block.first + at + before, pointer="", detail=detail) for at, detail in mine.items()]
    faults.sort(key=lambda fault: fault.row)
    return Block(block.first + before, answered, block.columns, faults)


def _about(plan: Plan) -> About | None:
    """Return what the answer to the first sound row says about itself, and whether rows are worked one at a time."""
    indices = plan.indices(0, min(plan.rows, _ROWS_FOR_ABOUT))
    for row in range(min(plan.rows, _ROWS_FOR_ABOUT)):
        if any(
            one.unsound is not None and one.unsound[int(index[row])]
            for one, index in zip(plan.varied, indices, strict=True)
        ):
            continue
        try:
            body = plan.body(indices, row)
            request = read_decoded(body, plan.calculation.request)
            ledger = Ledger(plan.units)
            if plan.calculation.by_row:
                ledger.warn("row-by-row", "", why=plan.calculation.by_row)
            about = noted(plan.calculation.compute(request, ledger).about, body)
            return with_old_words(about, plan.renamings)
        except ImpossibleInput:
            continue
    return None
