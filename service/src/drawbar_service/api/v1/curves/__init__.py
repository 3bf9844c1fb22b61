"""Curves: one module for each, the numbers of a picture from the request of a calculation."""
