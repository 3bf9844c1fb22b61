"""Calibration: what field runs say about draft and soil."""
