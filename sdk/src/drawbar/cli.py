"""The command `drawbar`: ask from a file, answer in plain text."""

from __future__ import annotations

import argparse
import importlib.util
import logging
import os
import re
import runpy
import sys
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from typing import Any, Final, TypeVar

import msgspec

from drawbar import _batch_command as batch_command
from drawbar import _begin as begin
from drawbar import _calculations as calculations
from drawbar import _colors as colors
from drawbar import _operations as operations
from drawbar import _sheets as sheets
from drawbar import logs, own_tables
from drawbar._farm import BadFile, Case, Farm, farm_of, plain_case, read
from drawbar._record import completion_case, season_with_record
from drawbar._season import season_case
from drawbar._season_sheet import season_sheet
from drawbar._shells import SHELLS, Parser, script
from drawbar._text import columns, line_width, make_output_safe, wrapped
from drawbar._version import __version__
from drawbar._weather import weather_case
from drawbar._wire import Operation
from drawbar.client import Client
from drawbar.errors import (
    ApiError,
    BadSetting,
    DrawbarError,
    Fault,
    ServerFault,
    Unauthorized,
    UnreadableAnswer,
)
from drawbar.models import MatchAnswer, SeasonAnswer, WholeTableAnswer
from drawbar.posterior import BadPosterior, Posterior

ANSWERED: Final = 0
FALLS_SHORT: Final = 1
REFUSED: Final = 2
UNREACHABLE: Final = 3
SERVICE_FAULT: Final = 4
_INTERRUPTED: Final = 130
_TABLE_PATH: Final = re.compile(r"(?:GET )?/v1/reference/([a-z-]+)")
_MEMBER: Final = re.compile(r"`([a-z_]+(?:\.[a-z_]+)*)`")
"""A member of a request by its path, such as `window.suitable`."""
_NO_FARM: Final = "needs a farm file; this is a single request"
_FINISHED_STAYS: Final = "What was finished stays; the same call goes on from there."

T = TypeVar("T")

_EXIT_CODES: Final = """\
exit code:
  0  answered; a match holds, a season is done in time
  1  answered; a match is close, fails or cannot be told, a season is not done in time
  2  wrong use, or the request was refused; each fault names its place in the file
  3  no service reached, or one too old for this command
  4  the service failed
"""
_OF_TABLES: Final = """\
Without an id the tables are listed. `drawbar tables draft --csv > draft.csv` writes one to be changed; a farm file or
a request takes it back with a line in [tables]: draft = "draft.csv". `drawbar tables check draft.csv` prints each
figure that differs from ours: row, column, ours, theirs, and theirs over ours. Its exit code is 1 if any does.
"""
_APART: Final = ("match", "season", "sheet", "days")
"""Calculations with commands of their own, which take more than a request."""
_PICTURES: Final[Mapping[str, str]] = {".svg": "image/svg+xml", ".png": "image/png"}
_CURVES: Final = (
    "power-by-speed",
    "slip-by-pull",
    "fit-map",
    "draft-by-tool",
    "finish-by-date",
    "season-timeline",
    "soil-stress-by-depth",
)
_NOT_OF_A_FARM: Final = ("finish-by-date", "soil-stress-by-depth")


class _Asker(Client):
    """A client that gives an answer as it came."""

    def ask(self, operation: Operation[Any], body: object = None, *, table: str | None = None) -> bytes:
        path = {"table": table} if table is not None else None
        return self._call(replace(operation, result=bytes), body, path=path)


@dataclass(frozen=True)
class _Refusal:
    """A request that the service refused, with its faults at their places in the file."""

    name: str
    faults: list[str]


def main(arguments: list[str] | None = None) -> int:
    """Run the command and return its exit code.

    Parameters
    ----------
    arguments
        Words after the command's name; None for those of this process.
    """
    make_output_safe()
    options = _parser().parse_args(arguments)
    run: Callable[[argparse.Namespace], int] = options.run
    try:
        code = run(options)
        sys.stdout.flush()
    except BadFile as fault:
        return _refuse(fault.name, [": ".join(filter(None, (one.pointer, one.detail))) for one in fault.faults])
    except KeyboardInterrupt:
        return _INTERRUPTED
    except BrokenPipeError:
        # Whoever read our output has seen enough. Python would complain once more when it flushes at the end.
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return ANSWERED
    except OSError as fault:
        where = f"{fault.filename}: " if fault.filename else ""
        print(f"drawbar: {where}{fault.strerror or fault}. {_FINISHED_STAYS}", file=sys.stderr)
        return REFUSED
    except MemoryError:
        told = f"memory ran out; a batch takes less with a smaller --part-rows. {_FINISHED_STAYS}"
        print(f"drawbar: {told}", file=sys.stderr)
        return REFUSED
    except DrawbarError as fault:
        print(f"drawbar: {fault}", file=sys.stderr)
        if isinstance(fault, Unauthorized):
            print("The command reads a key from DRAWBAR_API_KEY, or a token from DRAWBAR_TOKEN.", file=sys.stderr)
        return _code_of(fault)
    return code


def _code_of(fault: DrawbarError) -> int:
    if isinstance(fault, ServerFault | UnreadableAnswer):
        return SERVICE_FAULT
    # What is left is a service that is not installed or did not start.
    return REFUSED if isinstance(fault, ApiError | BadSetting) else UNREACHABLE


def _parser() -> Parser:
    layout = argparse.RawDescriptionHelpFormatter
    parser = Parser(
        prog="drawbar",
        description="Which tractor on which implement: draft, slip, power, fuel and area an hour.",
        epilog=_EXIT_CODES,
        formatter_class=layout,
    )
    where = Parser(add_help=False)
    where.add_argument("--url", help="ask the service at this address; by default it runs inside this command")
    output = Parser(add_help=False, parents=[where])
    output.add_argument("--json", action="store_true", help="print the answer as the service gives it")
    answers = Parser(add_help=False, parents=[output])
    answers.add_argument("file", metavar="FILE", help="TOML or JSON; - for standard input")
    answers.add_argument("--units", choices=("metric", "us"), help="units of the answer (default: metric)")
    parser.set_defaults(run=_begin, url=None)
    commands = parser.add_subparsers(metavar="COMMAND")

    match = commands.add_parser(
        "match",
        parents=[answers],
        help="will this tractor pull this implement, how fast, and what stops it",
        description=(
            "FILE is a farm file, with [tractors.NAME], [implements.NAME], [fields.NAME] and [jobs.NAME],\n"
            "or a single request. A farm file alone: one line for each job.\n"
            "A match holds if every limit is kept in 90 of 100 cases, fails below 50, and is close between them,\n"
            "unless limits.holds_from and limits.fails_below say otherwise. --all only lists: its exit code is 0."
        ),
        epilog=_EXIT_CODES,
        formatter_class=layout,
    )
    _add_work(match, "one job of the farm file, told in full")
    match.add_argument("--odds", action="store_true", help="the odds too, as soils and machines differ")
    match.add_argument(
        "--posterior",
        metavar="FILE",
        help="draft and soil as drawbar calibration --save wrote them, of the tractor and field of the job",
    )
    match.add_argument(
        "--all",
        action="store_true",
        help="every tractor on every implement, on one field: the speed that holds, the chance, what stops it",
    )
    match.set_defaults(run=_match)
    season = commands.add_parser(
        "season",
        parents=[answers],
        help="which tractor on which implement and field on which day, and whether it gets done",
        description=(
            "FILE is a farm file with a [season] and its [season.work.NAME], or a single request.\n"
            "The search for a plan may take some seconds."
        ),
        epilog=_EXIT_CODES,
        formatter_class=layout,
    )
    _add_record(season, "suitable days week by week, CSV or JSON, in place of `suitable`: the plan in every year, too")
    season.set_defaults(run=_season)
    for name, (operation, summary) in calculations.CALCULATIONS.items():
        if name in _APART:
            continue
        command = commands.add_parser(
            name,
            parents=[answers],
            help=_lowered(summary),
            description=f"{summary}. FILE is the request.",
        )
        command.set_defaults(run=_calculate, operation=operation, log=None, save=None)
        if operation is calculations.CALIBRATION:
            command.add_argument("--log", metavar="LOG", help="runs from a log: TASKDATA.XML, CSV or Parquet")
            command.add_argument("--machine", help="of the log, only work of this machine")
            command.add_argument("--field", help="of the log, only work on this field")
            command.add_argument("--save", metavar="FILE", help="write what was learned, for drawbar match --posterior")
        if name == "completion":
            _add_record(command, _OF_RECORD)
    _add_days(commands.add_parser("days", parents=[output], help=_lowered(calculations.CALCULATIONS["days"][1])))
    _add_shown(commands.add_parser)
    batch_command.add_to(commands, where)
    batch_command.add_reproduce_to(commands, where)
    tables = commands.add_parser(
        "tables",
        parents=[output],
        help="the tables behind the answers; how a copy of your own differs from them",
        description=_OF_TABLES,
        formatter_class=layout,
    )
    tables.add_argument("id", nargs="?", help="show the rows of this table; or the word check")
    tables.add_argument("file", nargs="?", metavar="FILE", help="after check: a CSV file to hold against our table")
    tables.add_argument("--table", metavar="ID", help="which table FILE is; by default its name says, as draft.csv")
    how = tables.add_mutually_exclusive_group()
    how.add_argument("--verbose", action="store_true", help="every column, with what it means")
    how.add_argument("--columns", metavar="NAMES", help="these columns, such as id,A,B,C")
    how.add_argument("--csv", action="store_true", help="every column as CSV, to be changed and given to [tables]")
    tables.set_defaults(run=_tables)
    example = commands.add_parser("example", help="a farm file to start from, to be changed and asked about")
    example.set_defaults(run=_example)
    sources = commands.add_parser("sources", parents=[output], help="the sources that answers cite")
    sources.set_defaults(run=_sources)
    serve = commands.add_parser("serve", help="start the service here")
    serve.add_argument("--host", help="address to listen on (default: DRAWBAR_HOST, else 127.0.0.1)")
    serve.add_argument("--port", help="port to listen on (default: DRAWBAR_PORT, else 8000)")
    serve.set_defaults(run=_serve)
    version = commands.add_parser("version", parents=[where], help="versions of this command and of the service")
    version.set_defaults(run=_version)
    shells = commands.add_parser(
        "shell-completion",
        help="a script that completes this command in a shell",
        description='bash: eval "$(drawbar shell-completion bash)" in ~/.bashrc; zsh the same in ~/.zshrc;\n'
        "fish: drawbar shell-completion fish > ~/.config/fish/completions/drawbar.fish",
        formatter_class=layout,
    )
    shells.add_argument("shell", choices=SHELLS)
    shells.set_defaults(run=partial(_complete, parser=parser))
    return parser


def _lowered(summary: str) -> str:
    return f"{summary[:1].lower()}{summary[1:]}"


def _add_days(days: Parser) -> None:
    days.add_argument("file", metavar="FILE", nargs="?", help="a request, TOML or JSON; or --weather")
    days.add_argument(
        "--weather",
        metavar="FILE",
        help="daily weather, CSV: day, high_C or high_F, low_C or low_F, rain_mm or precip_in, snowdepth_cm or _in",
    )
    days.add_argument("--station", help="which station, where the file has several")
    days.add_argument("--latitude", type=float, help="degrees north (default: that of Iowa)")
    days.add_argument("--drainage", choices=("poor", "moderate", "good"), help="of the soil (default: moderate)")
    days.add_argument("--averaged", action="store_true", help="averages over a region, not one station")
    days.set_defaults(run=_days, units=None)


_OF_RECORD = "suitable days week by week, CSV or JSON, in place of the request's: year and week, or week_ending; days"


def _add_record(command: Parser, of_record: str) -> None:
    command.add_argument("--record", metavar="FILE", help=of_record)
    command.add_argument("--so-far", metavar="FILE", help="the same of this year up to now: what is left is answered")
    command.add_argument(
        "--soil", metavar="FILE", help="topsoil by class of moisture for both: week_ending, class, percent"
    )
    command.add_argument("--elsewhere", action="store_true", help="the record is not of the place the work is at")


def _complete(options: argparse.Namespace, *, parser: Parser) -> int:
    print(script(options.shell, parser), end="")
    return ANSWERED


def _add_work(command: Parser, about_job: str) -> None:
    command.add_argument("--job", help=about_job)
    command.add_argument("--tractor", help="name of a tractor, in place of the job's")
    command.add_argument("--implement", help="name of an implement, in place of the job's")
    command.add_argument("--field", help="name of a field, in place of the job's")
    command.add_argument("--speed", help='ground speed, such as "8 km/h", in place of the file\'s')


def _add_shown(add: Callable[..., Parser]) -> None:
    picture = add("picture", help="a curve as a picture, SVG or PNG")
    picture.add_argument("curve", choices=_CURVES, metavar="CURVE", help=", ".join(_CURVES))
    sheet = add("sheet", help="a match as a page to print and carry")
    for command, kinds in ((picture, tuple(_PICTURES)), (sheet, (".html",))):
        command.add_argument("file", metavar="FILE", help="a request, or a farm file; - for standard input")
        command.add_argument("-o", "--output", required=True, help=f"file to write: {' or '.join(kinds)}")
        _add_work(command, "one job of the farm file")
        command.add_argument("--units", choices=("metric", "us"), help="units of the answer (default: metric)")
        command.add_argument("--url", help="ask the service at this address; by default it runs inside this command")
        command.set_defaults(run=_show)
    sheet.set_defaults(curve=None)


def _client(options: argparse.Namespace, *, of_any_version: bool = False) -> _Asker:
    units = getattr(options, "units", None)
    client = _Asker(options.url, units=units) if options.url else _Asker.in_process(units=units)
    # The service inside this process sets logging up as for a server, and the HTTP library tells of each request.
    logging.getLogger("httpx2").setLevel(logging.WARNING)
    if options.url and not of_any_version:
        client.connect()
    return client


def _say(lines: Iterable[str]) -> None:
    print("\n".join(colors.colored(lines) if colors.wanted() else lines))


def _give(content: bytes) -> None:
    # JSON is UTF-8 by definition, whatever the terminal.
    sys.stdout.flush()
    sys.stdout.buffer.write(msgspec.json.format(content, indent=2) + b"\n")
    sys.stdout.buffer.flush()


def _begin(options: argparse.Namespace) -> int:
    farm = farm_of(begin.EXAMPLE, begin.example())
    try:
        given, _ = _all_answers(options, {job: farm.case(job) for job in farm.names("jobs")})
    except DrawbarError:
        jobs: list[str] = []  # no service is installed here
    else:
        told = {job: (farm.case(job).parts, _read_match(content)) for job, content in given.items()}
        jobs = sheets.jobs_table(told, line_width())
    _say(begin.overview(jobs, line_width()))
    return ANSWERED


def _example(options: argparse.Namespace) -> int:
    print(begin.example(), end="")
    return ANSWERED


def _refuse(name: str, faults: Iterable[str]) -> int:
    print(f"drawbar: {name} cannot be used as it is:", *(f"  {fault}" for fault in faults), sep="\n", file=sys.stderr)
    return REFUSED


def _parts(options: argparse.Namespace) -> dict[str, str | None]:
    return {kind: getattr(options, kind) for kind in ("tractor", "implement", "field")}


def _none_of(options: argparse.Namespace, names: Iterable[str], why: str) -> None:
    """Refuse options that mean nothing here."""
    given = [f"--{name}" for name in names if getattr(options, name)]
    if given:
        raise BadFile(options.file, Fault(given[0], why))


def _match(options: argparse.Namespace) -> int:
    content = read(options.file)
    parts = _parts(options)
    if not isinstance(content, Farm):
        _none_of(options, ("job", "implement", "all") if options.posterior else ("job", *parts, "all"), _NO_FARM)
        case = plain_case(options.file, content, options.speed)
        return _match_one(options, case, machine=options.tractor, field=options.field)
    if options.posterior and (options.all or (options.job is None and not any(parts.values()))):
        raise BadFile(options.file, Fault("--posterior", "goes with one job: name it"))
    if options.all:
        beside = "does not go with --all, which takes --field and --units only"
        _none_of(options, ("job", "tractor", "implement", "speed", "odds"), beside)
        return _match_all(options, content)
    if options.job is None and not any(parts.values()):
        return _match_jobs(options, content)
    case = content.case(options.job, **parts, speed=options.speed)
    # A sheet has room to say what else would fit, so it asks unless the job itself says what for.
    asking = case.body if options.json else {"find": ["speed", "width", "depth"]} | case.body
    return _match_one(options, replace(case, body=asking), machine=case.parts["tractor"], field=case.parts["field"])


def _match_one(options: argparse.Namespace, case: Case, *, machine: str | None, field: str | None) -> int:
    if options.odds:
        case = replace(case, body={"odds": {}} | case.body)
    if options.posterior:
        case = _learned(options.posterior, case, machine, field)
    with _client(options) as client:
        content = _answered(client, case, options.file)
    if isinstance(content, _Refusal):
        return _refuse(content.name, content.faults)
    answer = _read_match(content)
    if options.json:
        _give(content)
    else:
        _say(sheets.match_sheet(answer, _title(case), case.place, line_width()))
    return _code(answer)


def _learned(file: str, case: Case, machine: str | None, field: str | None) -> Case:
    """Put what a calibration learned into a request, and say of what it was."""
    try:
        posterior = Posterior.read(file)
        found = posterior.known(machine=machine, field=field)
        body = posterior.into(case.body, machine=machine, field=field)
    except BadPosterior as fault:
        raise BadFile(file, Fault("", str(fault))) from fault
    of = " on ".join(one for one in (found.machine, found.field) if one) or "all runs"
    soil = f", cone index {found.cone_index}" if found.cone_index else ", the soil as it is in the request"
    print(f"Learned of {of}: draft multiplier {found.draft_multiplier:.3g}{soil}.", file=sys.stderr)
    return replace(case, body=body)


def _code(answer: MatchAnswer) -> int:
    return ANSWERED if answer.verdict.word == "holds" else FALLS_SHORT


def _match_jobs(options: argparse.Namespace, farm: Farm) -> int:
    jobs = farm.names("jobs")
    if not jobs:
        raise BadFile(farm.file, Fault("jobs", "has none; add [jobs.NAME], or give --tractor, --implement and --field"))
    cases = {job: farm.case(job, speed=options.speed) for job in jobs}
    given, refused = _all_answers(options, cases)
    answers = {job: _read_match(content) for job, content in given.items()}
    if options.json:
        _give(msgspec.json.encode({job: msgspec.Raw(content) for job, content in given.items()}))
    elif answers:
        _say(sheets.jobs_table({job: (cases[job].parts, answer) for job, answer in answers.items()}, line_width()))
    if refused:
        return _refuse_all(refused)
    return max(map(_code, answers.values()))


def _match_all(options: argparse.Namespace, farm: Farm) -> int:
    tractors = [options.tractor] if options.tractor else farm.names("tractors")
    implements = [options.implement] if options.implement else farm.names("implements")
    planned = farm.case(options.job).parts["field"] if options.job and not options.field else options.field
    cases = {
        f"{implement} behind {tractor}": farm.case(tractor=tractor, implement=implement, field=planned)
        for implement in implements
        for tractor in tractors
    }
    given, refused = _all_answers(options, cases)
    if options.json:
        _give(msgspec.json.encode({name: msgspec.Raw(content) for name, content in given.items()}))
    else:
        cells = {name: sheets.speed_cell(_read_match(content)) for name, content in given.items()}
        rows = [
            [each, *(cells.get(f"{each} behind {tractor}", "refused") for tractor in tractors)] for each in implements
        ]
        field = next(iter(cases.values())).parts["field"] if cases else ""
        head = f"Greatest speed on {field} that holds: in how many of 100 cases, and what stops it there"
        _say([*wrapped(head, line_width()), ""])
        _say(columns(rows, line_width(), header=["", *tractors]))
    return _refuse_all(refused) if refused else ANSWERED


def _all_answers(
    options: argparse.Namespace, cases: Mapping[str, Case]
) -> tuple[dict[str, bytes], dict[str, _Refusal]]:
    given: dict[str, bytes] = {}
    refused: dict[str, _Refusal] = {}
    with _client(options) as client:
        for name, case in cases.items():
            content = _answered(client, case, name)
            if isinstance(content, _Refusal):
                refused[name] = content
            else:
                given[name] = content
    return given, refused


def _refuse_all(refused: Mapping[str, _Refusal]) -> int:
    # One slip in a tractor spoils every job that it has, and is told once.
    faults = dict.fromkeys(fault for refusal in refused.values() for fault in refusal.faults)
    return _refuse(", ".join(refused), faults)


def _answered(
    client: _Asker, case: Case, name: str, operation: Operation[Any] = calculations.MATCH
) -> bytes | _Refusal:
    try:
        return client.ask(operation, case.body)
    except ServerFault:
        raise
    except ApiError as fault:
        if not fault.problem.errors:
            raise
        told = [
            f"{case.place(one.pointer) or 'the request'}: {_told(one.detail, case)}" for one in fault.problem.errors
        ]
        return _Refusal(name, list(dict.fromkeys(told)))


def _told(detail: str, case: Case) -> str:
    """Put what the service says as it is said at a terminal: tables by this command, members as the file has them."""
    detail = _TABLE_PATH.sub(r"`drawbar tables \1`", detail).replace("GET /v1/sources", "`drawbar sources`")
    return _MEMBER.sub(lambda found: f"`{case.place('/' + found[1].replace('.', '/'))}`", detail)


def _read_match(content: bytes) -> MatchAnswer:
    return _decoded(content, MatchAnswer)


def _decoded(content: bytes, kind: type[T]) -> T:
    try:
        return msgspec.json.decode(content, type=kind)
    except msgspec.DecodeError as fault:
        raise UnreadableAnswer(200, str(fault)) from fault


def _title(case: Case) -> str:
    if not case.parts:
        return ""
    pair = f"{case.parts['implement']} behind {case.parts['tractor']} on {case.parts['field']}"
    return f"{case.name}: {pair}" if case.name else pair


def _named(case: Case) -> Case:
    """Let tractor and implement go by their names in the file where they have no other: a sheet is headed by them."""
    body = case.body | {part: {"name": case.parts[part][:80]} | case.body[part] for part in ("tractor", "implement")}
    return replace(case, body=body)


def _season(options: argparse.Namespace) -> int:
    content = read(options.file)
    case = season_case(content) if isinstance(content, Farm) else plain_case(options.file, content)
    own = False if options.elsewhere else None
    case = season_with_record(case, options.record, options.so_far, options.soil, own=own)
    with _client(options) as client:
        given = _answered(client, case, options.file, calculations.SEASON)
    if isinstance(given, _Refusal):
        return _refuse(given.name, given.faults)
    answer = _decoded(given, SeasonAnswer)
    if options.json:
        _give(given)
    else:
        _say(season_sheet(answer, case.place, line_width()))
    return ANSWERED if answer.verdict.in_time else FALLS_SHORT


def _days(options: argparse.Namespace) -> int:
    if (options.file is None) == (options.weather is None):
        raise BadFile("drawbar days", Fault("", "give FILE, a request, or --weather FILE, one of the two"))
    if options.weather is not None:
        case = weather_case(
            options.weather,
            options.station,
            latitude=options.latitude,
            drainage=options.drainage,
            averaged=options.averaged or None,
        )
        return _answer(options, case, options.weather, calculations.DAYS)
    content = read(options.file)
    if isinstance(content, Farm):
        raise BadFile(options.file, Fault("", "is a farm file; `drawbar days` takes a request, or --weather FILE"))
    return _answer(options, plain_case(options.file, content), options.file, calculations.DAYS)


def _calculate(options: argparse.Namespace) -> int:
    content = read(options.file)
    if isinstance(content, Farm):
        raise BadFile(options.file, Fault("", "is a farm file; only `drawbar match` and `drawbar season` take one"))
    case = plain_case(options.file, content if options.log is None else content | {"runs": _logged_runs(options)})
    if "record" in options:
        own = False if options.elsewhere else None
        case = completion_case(case, options.record, options.so_far, options.soil, own=own)
    return _answer(options, case, options.file, options.operation, options.save)


def _answer(
    options: argparse.Namespace, case: Case, file: str, operation: Operation[Any], save: str | None = None
) -> int:
    with _client(options) as client:
        given = _answered(client, case, file, operation)
    if isinstance(given, _Refusal):
        return _refuse(given.name, given.faults)
    if save is not None:
        try:
            Posterior.of(_decoded(given, operation.result)).save(save)
        except OSError as fault:
            raise BadFile(save, Fault("", f"cannot be written: {fault.strerror}")) from fault
    if options.json:
        _give(given)
    else:
        _say(sheets.sheet(_decoded(given, operation.result), case.place, line_width()))
    return ANSWERED


def _logged_runs(options: argparse.Namespace) -> list[dict[str, str]]:
    """Give the runs of a log, of one machine and one field if asked; of several, each names its own."""
    try:
        every = logs.read(options.log)
        works = [one for one in every if options.machine in (None, one.machine) and options.field in (None, one.field)]
        groups = logs.by_machine_and_field(one for one in works if one.teaches)
        runs = logs.runs(works, named=len(groups) > 1)
    except logs.BadLog as fault:
        raise BadFile(options.log, Fault("", str(fault))) from fault
    if not works:
        named = _of_groups({name: of for name, of in logs.by_machine_and_field(every).items() if any(name)})
        there = f"there are {named}" if named else f"no row names either{_passed_over(options.log)}"
        raise BadFile(options.log, Fault("", f"has no work of that machine and field; {there}"))
    if not runs:
        raise BadFile(options.log, Fault("", logs.what_is_missing(options.log)))
    print(f"{options.log}: {_of_groups(groups)}{_passed_over(options.log)}.", file=sys.stderr)
    return runs


def _of_groups(groups: Mapping[tuple[str, str], Sequence[logs.Work]]) -> str:
    """Say how much was logged of each machine on each field."""
    return ", ".join(
        f"{len(of)} of {' on '.join(one for one in name if one)}" if any(name) else f"{len(of)} without their names"
        for name, of in groups.items()
    )


def _passed_over(log: str) -> str:
    names = logs.unread(log)
    return f"; not read: {', '.join(names)}" if names else ""


def _show(options: argparse.Namespace) -> int:
    content, curve, suffix = read(options.file), options.curve, Path(options.output).suffix.lower()
    kinds = _PICTURES if curve else {".html": operations.SHEET_PAGE.accept}
    if suffix not in kinds:
        raise BadFile(options.output, Fault("", f"cannot be written: its name has to end in {' or '.join(kinds)}"))
    parts = _parts(options)
    if not isinstance(content, Farm):
        _none_of(options, ("job", *parts), _NO_FARM)
        case = plain_case(options.file, content, options.speed)
    elif curve == "season-timeline":
        _none_of(options, ("job", *parts, "speed"), "does not go with season-timeline, which shows the whole season")
        case = season_case(content)
    elif curve in _NOT_OF_A_FARM:
        raise BadFile(options.file, Fault("", f"is a farm file; {curve} takes a request"))
    else:
        case = _named(content.case(options.job, **parts, speed=options.speed))
    path = f"/v1/curves/{curve}" if curve else operations.SHEET_PAGE.path
    operation = replace(operations.SHEET_PAGE, path=path, accept=kinds[suffix])
    with _client(options) as client:
        given = _answered(client, case, options.file, operation)
    if isinstance(given, _Refusal):
        return _refuse(given.name, given.faults)
    try:
        Path(options.output).write_bytes(given)
    except OSError as fault:
        raise BadFile(options.output, Fault("", f"cannot be written: {fault.strerror}")) from fault
    return ANSWERED


def _tables(options: argparse.Namespace) -> int:
    if options.id == "check":
        return _check_table(options)
    if options.file:
        return _refuse(options.file, ["a file belongs after the word check: drawbar tables check FILE"])
    with _client(options) as client:
        if options.json:
            operation = operations.REFERENCE_TABLE if options.id else operations.REFERENCE_TABLES
            _give(client.ask(operation, table=options.id))
        elif options.id:
            return _table(options, client.reference_table(options.id))
        else:
            _say(sheets.tables_list(client.reference_tables(), line_width()))
    return ANSWERED


def _table(options: argparse.Namespace, table: WholeTableAnswer) -> int:
    if options.csv:
        print(own_tables.written(table), end="")
        return ANSWERED
    if options.verbose:
        _say(sheets.whole_table(table, line_width()))
        return ANSWERED
    try:
        _say(sheets.table_rows(table, line_width(), (options.columns or "").replace(",", " ").split()))
    except ValueError as fault:
        return _refuse("--columns", [str(fault)])
    return ANSWERED


def _check_table(options: argparse.Namespace) -> int:
    if options.file is None:
        return _refuse("check", ["a CSV file belongs here: drawbar tables check FILE"])
    table = options.table or Path(options.file).stem.replace("_", "-")
    try:
        own_tables.member(table)
        with _client(options) as client:
            found = own_tables.differences(client.reference_table(table), options.file)
    except own_tables.BadTable as fault:
        return _refuse(fault.name, [f"{one.pointer} {one.detail}".strip() for one in fault.faults])
    if options.json:
        _give(msgspec.json.encode(found))
    elif not found:
        _say([f"Nothing in {options.file} differs from our table {table}."])
    else:
        rows = [
            [one.row, one.column, one.ours, one.theirs, "" if one.ratio is None else f"{one.ratio:.3g}"]
            for one in found
        ]
        _say(columns(rows, line_width(), header=["row", "column", "ours", "theirs", "theirs/ours"]))
    return FALLS_SHORT if found else ANSWERED


def _sources(options: argparse.Namespace) -> int:
    with _client(options) as client:
        if options.json:
            _give(client.ask(operations.SOURCES))
        else:
            _say(sheets.sources_list(client.sources(), line_width()))
    return ANSWERED


def _serve(options: argparse.Namespace) -> int:
    if importlib.util.find_spec("drawbar_service") is None:
        print("drawbar: the service is not installed here: pip install ./service", file=sys.stderr)
        return UNREACHABLE
    given = [(f"--{name}", getattr(options, name)) for name in ("host", "port")]
    sys.argv = ["drawbar_service", *(word for pair in given if pair[1] is not None for word in pair)]
    runpy.run_module("drawbar_service", run_name="__main__")
    return ANSWERED


def _version(options: argparse.Namespace) -> int:
    print(f"drawbar {__version__}")
    with _client(options, of_any_version=True) as client:
        answer = client.version()
        print(f"service {answer.service}, paths {answer.api}, model {answer.model}", flush=True)
        client.connect()
    return ANSWERED


if __name__ == "__main__":
    sys.exit(main())
