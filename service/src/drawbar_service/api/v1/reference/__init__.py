"""Reference tables and sources."""
