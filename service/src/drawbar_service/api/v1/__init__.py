"""Version 1 of the calculations."""
