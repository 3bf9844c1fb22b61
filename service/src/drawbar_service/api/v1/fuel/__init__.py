"""Fuel for a load."""
