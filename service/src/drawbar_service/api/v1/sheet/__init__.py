"""Field sheet: an answer on one printed page."""
