"""Slip from a field test."""
