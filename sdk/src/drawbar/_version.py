"""The version of this package, kept as a constant because reading package metadata costs 25 ms at import."""

__version__ = "0.3.0"
