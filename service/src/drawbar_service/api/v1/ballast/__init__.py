"""Ballast: how heavy a tractor should be, and where the mass belongs."""
