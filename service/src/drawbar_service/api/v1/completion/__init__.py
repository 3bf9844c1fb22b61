"""Completion: the chance to be done in time."""
