"""Power needs, brought to the PTO."""
