"""Batches: one scenario, what varies, columns back."""
