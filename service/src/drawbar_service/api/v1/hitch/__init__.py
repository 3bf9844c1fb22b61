"""Hitch, drawbar and PTO: does it go together."""
