"""Traction: slip, axle loads and efficiency under a pull."""
