"""Dates in words, in English whatever the machine speaks."""

import datetime as dt

MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


def day_and_month(date: dt.date) -> str:
    """Return a date without its year: 14 Nov."""
    return f"{date.day} {MONTHS[date.month - 1]}"
