"""Write the page of results: `python tests/published/report.py`, or `--check` to only compare.

Everything on it comes from `cases.py`, as the tests do.
"""

import sys
from pathlib import Path
from statistics import mean, median

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))

from tests.published import cases, scoring, test_brackets
from tests.published.cases import MET, MISFIT, NOT_MET

from drawbar_service.reference import default

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


def field_rows(figures):
    return [
        [
            check.id,
            check.source,
            f"{check.published:g} {check.unit}",
            f"{number(check.ours)} ({percent(check.off, 0)})",
            *([f"{number(figure.ratio)}"] if figure.ratio is not None else []),
            f"{number(figure.low)} to {number(figure.high)}",
            "yes" if figure.inside else "no",
            "held back" if figure.held_back else "fitted",
            check.explained,
        ]
        for figure in figures
        for check in [figure.check]
    ]


def score_row(what, figures):
    found = scoring.summary(figures)
    return [
        what,
        f"{found['inside']} of {found['figures']}",
        percent(found["error"], 0).removeprefix("+"),
        percent(found["bias"], 0),
        number(found["high_over_low"]),
        number(found["interval_score"]),
        number(found["crps"]),
    ]


def scores(figures):
    rows = [score_row("**all held back**", [one for one in figures if one.held_back])]
    rows += [
        score_row(f"held back, {topic}", [one for one in figures if one.held_back and one.check.topic == topic])
        for topic in ("power", "fuel")
    ]
    rows += [
        score_row(f"held back, {kind}", [one for one in figures if one.held_back and one.kind == kind])
        for kind in scoring.SPREADS.values()
    ]
    rows.append(score_row("all fitted on", [one for one in figures if not one.held_back]))
    rows += [
        score_row(source, [one for one in figures if one.check.source == source])
        for source in cases.OPERATIONS["sources"].values()
    ]
    header = ["figures", "inside", "mean error", "mean difference", "median high/low", "interval score", "CRPS"]
    return table(header, rows)


def spreads():
    rows = [
        [
            kind,
            f"{shipped:g}",
            f"{scoring.fitted(name):g}",
            f"{min(scored, key=scored.__getitem__):g}",
            number(scored[shipped]),
            number(min(scored.values())),
        ]
        for name, kind in scoring.SPREADS.items()
        for scored in [scoring.scores_by_spread(name)]
        for shipped in [round(default(name).value, 2)]
    ]
    return table(["kind", "in use", "fitted today", "least score at", "score in use", "least score"], rows)


def field():
    figures = cases.field_figures()
    powers, fuels = ([one for one in figures if one.check.topic == topic] for topic in ("power", "fuel"))
    outside = "; ".join(f"{one.check.id} ({one.check.topic}, {one.check.source})" for one in figures if not one.inside)
    draft_ends = median(one.draft_ends for one in figures if one.kind == "primary tillage")
    columns = ["range", "inside", "half", "verdict"]
    power_header = ["operation", "source", "published", "ours", "drawbar/PTO ratio", *columns]
    return f"""## 2. Power and fuel of field operations

The publications print operation, power or fuel, some of them speed and depth, and no more; tractor, width, soil and
most depths are ours, chosen once as typical and not fitted (`data/power_and_fuel_by_operation.toml` says how). So a
difference may be the model's or that of the assumptions. In brackets: the difference from the published figure.

Range: `low` to `high` of the answer to the same match, in which 9 of 10 are meant to lie. It puts together, as
independent spreads, the range of the draft table (read as two standard deviations of a log-normal factor), what lies
between that table and a given field, what one tractor and the next take for the same pull, and, for fuel, what one
engine and the next burn, and the range of field efficiency.

What lies between table and field (soil, depth and adjustment as they really are, one publication and the next) is
fitted: one standard deviation for each kind of tool, in steps of {scoring.STEP:g}, by the mean interval score on half
of the operations. Figures are few and the score is flat near its least, so it is the widest within \
{100 * scoring.SLACK:g} % of the least score. Of each source the first operation is fitted on, the second held back, \
and so on; power and fuel of one operation stay together. Nothing else here is fitted: no central value and no spread of
tractor or engine. Widths, tools and kinds of tool were chosen with all figures in sight, so the half held back is held
back from the fit of the spreads only. The rule of the widest and the spread of fuel were settled after the first scores
had been seen: the coverage below is a little kinder than a wholly new source would be.

{spreads()}
**Held back: {scoring.summary([one for one in figures if one.held_back])["inside"]} of \
{sum(one.held_back for one in figures)} figures inside the stated range.** Median high over low for primary tillage: \
{number(draft_ends)} for draft.
Interval score (for 90 %) and CRPS are those of the logarithm, so they have no unit; less is better. Mean error has no
sign, mean difference has.

{scores(figures)}
Outside, all figures: {outside or "none"}.

A printed figure counts as inside if it may have been before it was rounded. A figure is met inside the range or within
{100 * cases.NEAR:g} %. {counted([one.check for one in figures])}

Why light tools read low in power. A harrow, a hoe or a planter pulls little, so the tractor's own motion is a good part
of its power, and how much depends on the width it is given: a wide tool on a given tractor hides it. Widths here follow
the load that the guide of Missouri itself implies by its hp h a gallon, 0.4 of the rated power for light tools; with
three quarters for all, spike-tooth harrow and rotary hoe read half of the published power, as they do by the
drawbar/PTO ratio, which has no part for the tractor's own motion. A third stays unexplained, on tilled ground only:
the draft table gives these tools one figure without speed or soil. It is left as it is, and the range carries it.

Power at the PTO for each foot of width.

{table(power_header, field_rows(powers))}
Diesel on an area.

{table(["operation", "source", "published", "ours", *columns], field_rows(fuels))}
From the power that is printed, not from ours, the mean error of the fuel is \
{100.0 * cases.fuel_error_of_printed_power():.1f} %; with turns and stops at the rate of work it would be \
{100.0 * cases.fuel_error_of_printed_power(1.0):.1f} %.

Operations of RUSLE2 that are not worked out:

{table(["row", "why"], [[row, why] for row, why in cases.OPERATIONS["not_worked"].items()])}
### How hard a tractor pulls at the slip of best efficiency

Which level of net traction is right is not decided. Below: net traction over load of one driven wheel at 10 % slip by
four published models, mean of the ordinary tires of `test_brackets.py`, and pull over weight as the mass guide of the
trade implies it: its mass for each power at the middle speed of its classes, by the published drawbar/PTO ratio of a
tractor with front-wheel assist. The wheel's figures are of the load it carries; of the weight of a whole tractor with
front-wheel assist they are the same, of one with two-wheel drive some three quarters.

{traction_level()}
No worked point of the radial coefficients and no median of tests on soil was found to decide it. Radial tires read an
eighth above the mean of the others on firm ground and a fifth on tilled ground; the guide lies with the others. The
difference is left in. Power depends on it little, because slip of a few percent more or less costs little: the ranges
of power carry how far the published ways to come from pull to power lie apart (`traction_spread`). Slip depends on it
much, and its range, which follows the draft alone, does not carry it.
"""


def traction_level():
    net, _ = test_brackets.wheel_readings()
    rows = []
    for ground in ("firm", "tilled"):
        wheels = [models for case, models in net.items() if case.startswith(f"{ground}, slip 0.1,")]
        by_model = [f"{mean(float(models[name]) for models in wheels):.2f}" for name in wheels[0]]
        rows.append([ground, *by_model, *(f"{one:.2f}" for one in cases.guide_pull_over_weight(ground))])
    header = ["ground", *wheels[0], *(f"guide, {row.id}" for row in cases.tables.MASS_PER_POWER.rows.values())]
    return table(header, rows)


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

- Season plans: held to brute force, to problems solved by hand and to a check of 200 random seasons from the diary
  alone in `tests/engine/test_season.py`; no published plan was at hand.
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
