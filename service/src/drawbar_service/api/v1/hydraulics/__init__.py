"""Hydraulics: flow, pressure and heat."""
