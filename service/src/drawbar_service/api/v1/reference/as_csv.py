"""A reference table as CSV (RFC 4180), with the columns and figures that `drawbar tables ID --csv` writes."""

import csv
import io

import msgspec

CSV = "text/csv"


def table_csv(table: msgspec.Struct) -> bytes:
    """Return a table as CSV in UTF-8: a line of column names, then one for each row; what is missing is empty.

    Parameters
    ----------
    table : WholeTableAnswer
        Figures are written in the units of its columns, with up to 15 digits.
    """
    whole = msgspec.to_builtins(table)
    names = [column["name"] for column in whole["columns"]]
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(names)
    writer.writerows([_cell(row[name]) for name in names] for row in whole["rows"])
    return out.getvalue().encode()


def _cell(value: str | float | bool | None) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return str(value).lower()
    return f"{value:.15g}" if isinstance(value, float) else str(value)
