"""Write the page of results: `python tests/published/report.py`, or `--check` to only compare.

Everything on it comes from `cases.py`, as the tests do.
"""

import sys
from pathlib import Path

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tests.published import cases
from tests.published.cases import MET, MISFIT, NOT_MET

PAGE = Path(__file__).parent / "VALIDATION.md"


def number(value):
    """A figure to four significant digits, the same on every processor."""
    # Rounded to ten digits first, so that the last bits of a value that ends in 5 do not decide.
    text = f"{float(f'{value:.10g}'):.4g}"
    return f"{float(text):.0f}" if "e+" in text else text


def percent(fraction, digits=2):
    value = round(float(f"{100 * fraction:.8f}"), digits)
    return f"{value:+.{digits}f} %" if value else f"{0:.{digits}f} %"


def table(header, rows):
    lines = [header, ["---"] * len(header), *rows]
    return "\n".join(f"| {' | '.join(cells)} |" for cells in lines) + "\n"


def counted(checks):
    verdicts = [check.verdict for check in checks]
    totals = ", ".join(f"{verdict}: {verdicts.count(verdict)}" for verdict in (MET, MISFIT, NOT_MET))
    return f"Of {len(checks)} figures: {totals}."


def check_rows(checks):
    return [
        [
            check.id,
            check.topic,
            check.quantity,
            check.source,
            f"{check.published:.10g} {check.unit}".strip(),
            number(check.ours),
            percent(check.off),
            check.tolerance,
            check.explained,
        ]
        for check in checks
    ]


def examples():
    checks = [check for example in cases.EXAMPLES.values() for check in cases.example_checks(example)]
    checks += [cases.capacity_check(row) for row in cases.CAPACITIES]
    header = ["id", "topic", "quantity", "source", "published", "ours", "difference", "tolerance", "verdict"]
    return f"""## 1. Worked examples and tables from outside

Published and ours are in the same unit. The difference is ours over the published figure, less 1. The tolerance covers
the digits printed. {counted(checks)}

{table(header, check_rows(checks))}"""


def field_rows(figures, older):
    rows = []
    for figure in figures:
        check = figure.check
        methods = [check.ours, figure.ratio, *([figure.older] if older else [])]
        rows.append(
            [
                check.id,
                number(check.published),
                *(f"{number(one)} ({percent(one / check.published - 1.0, 0)})" for one in methods),
                f"{number(figure.low)} to {number(figure.high)}",
                "yes" if figure.inside else "no",
                f"{number(figure.unknown[0])} to {number(figure.unknown[1])}",
                "yes" if figure.inside_unknown else "no",
                check.explained,
            ]
        )
    return rows


def coverage(figures):
    return f"{sum(figure.inside for figure in figures)} of {len(figures)}"


def mean_off(values, figures):
    offs = [value / figure.check.published - 1.0 for value, figure in zip(values, figures, strict=True)]
    return percent(sum(offs) / len(offs), 0)


def field():
    figures = cases.field_figures()
    powers, fuels = ([one for one in figures if one.check.topic == topic] for topic in ("power", "fuel"))
    looser = sum(figure.inside_if_put_on_the_figure for figure in figures)
    beyond = "; ".join(f"{one.check.id} ({one.check.topic})" for one in figures if not one.inside_unknown)
    outside_unknown = f"Outside: {beyond}." if beyond else "None lies outside."
    outside = "; ".join(f"{one.check.id} ({one.check.topic})" for one in figures if not one.inside)
    ranges = ["draft range", "inside", "nothing known", "inside", "verdict"]
    unknown = cases.OPERATIONS["unknown"]
    power_header = ["operation", "published", "traction path", "drawbar/PTO ratio", *ranges]
    fuel_header = [
        "operation",
        "published",
        "newer equation",
        "newer, power by ratio",
        "older equation",
        *ranges,
    ]
    return f"""## 2. Power and fuel of field operations

Source: {cases.OPERATIONS["source"]}.

It prints operation, speed, power and fuel, and no more; tractor, width, depth and soil are ours, chosen once as typical
and not fitted (`data/power_and_fuel_by_operation.toml`). So a difference may be the model's or that of the assumptions.
In brackets: the difference from the published figure.

Draft range: the range r of the draft table, read as two standard deviations of a log-normal factor (about 95 %). The
draft is divided and multiplied by 1 + r and both ends go through the whole chain. Where an end overloads the tractor,
fuel is that of full load. The reading is an assumption, and no other uncertainty is in it.

**Coverage of the draft range: {coverage(figures)} published figures** (power {coverage(powers)}, fuel \
{coverage(fuels)}).
It is the range of an answer whose depth, soil and tractor are known; the publication does not tell them.
With the factor put on the power or fuel itself, not on the draft behind it, {looser} would lie inside.
Outside: {outside}.

Nothing known: the 95 % range of a reader who knows the operation and no more. The draft range as before, and besides:
depth with a standard deviation of {unknown["depth"]}, cone index {unknown["cone_index"]}, what one tractor and the next
burn for the same work {100 * unknown["tractor_fuel"]:g} %, texture fine, medium or coarse with equal chance, field
efficiency by the practice table. The spreads are common practice without a source, chosen once and not fitted.

**Coverage where nothing is known: {sum(one.inside_unknown for one in figures)} of {len(figures)}.** {outside_unknown}

A printed figure counts as inside if it may have been before it was rounded.
A figure is met inside the draft range or within {100 * cases.NEAR:g} %. {counted([one.check for one in figures])}

Power at the PTO for each foot of width [hp/ft]. Mean difference: traction path \
{mean_off([one.check.ours for one in powers], powers)}, ratio {mean_off([one.ratio for one in powers], powers)}.

{table(power_header, field_rows(powers, older=False))}
Diesel for each acre [gal/acre]. Power is that of the traction path, except in the column by ratio. Mean difference:
newer equation {mean_off([one.check.ours for one in fuels], fuels)}, by ratio \
{mean_off([one.ratio for one in fuels], fuels)}, older equation {mean_off([one.older for one in fuels], fuels)}.

From the power that is printed, not from ours, the mean error of the fuel is \
{100.0 * cases.fuel_error_of_printed_power():.1f} %; with turns and stops at the rate of work it would be \
{100.0 * cases.fuel_error_of_printed_power(1.0):.1f} %.

{table(fuel_header, field_rows(fuels, older=True))}"""


def derived():
    rows = [
        [f"{wheel['model']}, Bn {wheel['mobility']}, slip {wheel['slip']:g}", name, f"{wheel[name]:g}", number(ours)]
        for wheel in cases.DERIVED["wheel"]
        for name, ours in cases.wheel_values(wheel).items()
    ]
    rows += [
        [row["size"], name.removesuffix("_mm").replace("_", " ") + " [mm]", f"{row[name]:g}", number(ours)]
        for row in cases.DERIVED["size"]
        for name, ours in cases.size_lengths(row).items()
    ]
    inches = [
        [row["size"], f"{row['diameter_in']:g}", number(ours), percent(ours / row["diameter_in"] - 1.0)]
        for row in cases.DERIVED["inch_size"]
        for ours in [cases.inch_diameter(row)]
    ]
    return f"""## 3. Arithmetic only

**Arithmetic only:** worked out by hand from the same equations, or fixed by the size on the sidewall. These show that
the equations are typed as they are meant; they say nothing of whether they are right.

{table(["case", "value", "by hand", "ours"], rows)}
Overall diameters [in] as tire handbooks list them, from memory; the service estimates them from the size. To be within
3 %.

{table(["size", "handbook", "ours", "difference"], inches)}"""


def page():
    """The text of the page."""
    return f"""# What outside figures say of the service

Generated: do not edit. `python tests/published/report.py` writes this page, `--check` compares; a test fails when it is
out of date. Figures and sources are in `data/`, the working in `cases.py`, which the tests share. Ours are rounded to
four significant digits.

- **{MET}**: within the tolerance stated beside it.
- **{MISFIT}**: outside it, known, with the reason; it may not drift.
- **{NOT_MET}**: neither. The tests fail while this page says so.

The coefficients of draft and traction are after ASAE D497, from memory, not yet proof-read. Facts of the trade without
a source are in `test_trade.py`; how the published models stand to each other is in `test_brackets.py`.

{examples()}
{field()}
{derived()}
## 4. Not checked against anything outside

- Season plans: held to brute force and to problems solved by hand in `tests/engine/test_season.py`; no published plan
  was at hand.
- Residue left by an operation: the table is from memory, so there is nothing to check it against.
"""


def main(arguments):
    if arguments not in ([], ["--check"]):
        print(__doc__, file=sys.stderr)
        return 2
    text = page()
    if not arguments:
        PAGE.write_text(text, "utf-8", newline="\n")
    elif not PAGE.is_file() or PAGE.read_text("utf-8") != text:
        print(f"{PAGE.name} is out of date; run: python tests/published/report.py", file=sys.stderr)
        return 1
    return 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
