"""Sensitivity: which uncertain input matters most."""
