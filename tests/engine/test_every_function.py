"""What holds for every public function of the engine: one code path for floats and arrays, and a full docstring."""

import ast
import inspect
import pkgutil
import re
from pathlib import Path

import numpy as np
import pint
import pytest
from tests.engine.samples import (
    BUILT,
    CALLBACKS,
    NOT_OF_NUMBERS,
    REACHES,
    RETURN_FUNCTIONS,
    ROWS,
    WHOLE_MODULES,
    WHOLE_SAMPLES,
    arguments,
    flat,
    numbers,
    public_functions,
    row,
)

import drawbar_service.engine
from drawbar_service.engine.reach import greatest_pull, greatest_speed

FUNCTIONS = dict(public_functions())
PLAIN = [
    name
    for name, function in FUNCTIONS.items()
    if name.count(".") == 1
    and name.split(".")[0] not in WHOLE_MODULES
    and name.split(".")[1] not in {*WHOLE_SAMPLES, *CALLBACKS, *RETURN_FUNCTIONS, *NOT_OF_NUMBERS}
    and inspect.isfunction(function)
]


def parameters(function):
    return inspect.signature(function).parameters.keys() - {"self"}


def test_the_walk_finds_the_engine():
    assert len(PLAIN) > 45
    assert {"slip.slip_for_pull", "match.operate", "draft.DraftTerms.at"} <= FUNCTIONS.keys()


@pytest.mark.parametrize("name", PLAIN)
def test_a_row_of_an_array_is_what_floats_give(name):
    function = FUNCTIONS[name]
    given = arguments(function, (ROWS,))
    whole = function(**given)
    for index in range(ROWS):
        alone = function(**{key: row(value, index) for key, value in given.items()})
        assert np.array_equal(flat(row(whole, index)), flat(alone), equal_nan=True)


@pytest.mark.parametrize("name", PLAIN)
def test_floats_in_floats_out(name):
    function = FUNCTIONS[name]
    given = {key: row(value, 0) for key, value in arguments(function, (1,)).items()}
    assert {type(number) for number in flat(function(**given))} <= {float, bool, np.float64}


@pytest.mark.parametrize("name", [name for name in PLAIN if len(parameters(FUNCTIONS[name]) - {"model"}) > 1])
def test_shapes_broadcast(name):
    function = FUNCTIONS[name]
    column, line = arguments(function, (3, 1)), arguments(function, (4,), seed=2)
    given = {
        key: (column if index % 2 else line)[key] for index, key in enumerate(inspect.signature(function).parameters)
    }
    shapes = {np.shape(number) for number in flat(function(**given))}
    assert np.broadcast_shapes(*shapes) == (3, 4)


@pytest.mark.parametrize("kind", REACHES)
def test_greatest_speed_and_pull_row_by_row(kind):
    random = np.random.default_rng(3)
    make, held = REACHES[kind](random, (ROWS,))
    work, speed = (
        BUILT[name](random, (ROWS,)) if name in BUILT else numbers(random, name, (ROWS,)) for name in ("work", "speed")
    )
    fastest = greatest_speed(make(*held), work, 0.1, 5.0)
    pull = greatest_pull(make(*held), speed, work.other_power)
    for index in range(ROWS):
        reach = make(*row(held, index))
        alone = greatest_speed(reach, row(work, index), 0.1, 5.0)
        assert row(fastest, index) == alone
        alone = greatest_pull(reach, row(speed, index), row(work.other_power, index))
        assert row(pull, index) == alone


# ---- docstrings

REGISTRY = pint.UnitRegistry(cache_folder=None)
REGISTRY.define("money = [money]")
NO_QUANTITY = {
    "arrays": "numbers of any kind",
    "calibration.Measurements.without": "leaves out a measurement",
    "odds.spread": "in the unit of what was sampled",
    "odds.Spread": "in the unit of what was sampled",
    "match.strain_on_wheels": "gives a function",
    "reach.reach_on_wheels": "gives a function",
    "tire.read_size": "reads text; the record it gives carries the units",
    "tire.unread_part": "gives a part of a text",
}


@pytest.mark.parametrize("name", FUNCTIONS)
def test_a_docstring_names_every_parameter(name):
    text = inspect.getdoc(FUNCTIONS[name]) or ""
    for parameter in parameters(FUNCTIONS[name]):
        listed = re.search(rf"^(?:\w+, )*{parameter}(?:, \w+)*(?: :|$)", text, re.MULTILINE)
        assert listed or f"`{parameter}`" in text, f"{name} says nothing of {parameter}"


@pytest.mark.parametrize("name", [name for name in FUNCTIONS if not any(map(name.startswith, NO_QUANTITY))])
def test_a_docstring_gives_units_that_pint_reads(name):
    text = inspect.getdoc(FUNCTIONS[name]) or ""
    units = set(re.findall(r"(?<!\w)\[([^\]\n]{1,20})\](?!_)", text))
    assert units, f"{name} gives no unit"
    for unit in units - {"1"}:
        REGISTRY.parse_units(re.sub(r"(?<=[a-zA-Z0-9]) (?=[a-zA-Z])", "*", unit))


# ---- constants


def constants():
    """Every module-level constant of the engine that holds numbers, with the statement after it and the line before."""
    for found in pkgutil.iter_modules(drawbar_service.engine.__path__):
        source = Path(drawbar_service.engine.__path__[0], f"{found.name}.py").read_text("utf-8")
        lines, body = source.splitlines(), ast.parse(source).body
        for statement, after in zip(body, [*body[1:], None], strict=True):
            if isinstance(statement, ast.Assign) and any(
                isinstance(part, ast.Constant) and isinstance(part.value, int | float) for part in ast.walk(statement)
            ):
                yield found.name, ast.unparse(statement.targets[0]), statement, after, lines


def test_a_constant_says_what_it_is():
    """A docstring after it, a comment before it, or one that speaks for the constants it stands among."""
    silent = []
    spoken_for = set()
    for module, name, statement, after, lines in constants():
        before = lines[statement.lineno - 2].strip()
        told = isinstance(after, ast.Expr) and isinstance(getattr(after.value, "value", None), str)
        followed = isinstance(after, ast.Assign) and after.lineno == statement.end_lineno + 1
        if told or before.startswith("#") or before.endswith('"""') or (module, statement.lineno) in spoken_for:
            if followed:
                spoken_for.add((module, after.lineno))
        elif not followed:
            silent.append(f"{module}.{name}")
    assert not silent, ", ".join(silent)
