"""Season: which work when, with which machines."""
