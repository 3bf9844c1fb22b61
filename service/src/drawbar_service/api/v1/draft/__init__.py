"""Draft of an implement."""
