"""How many examples a slow property gets."""

from hypothesis import settings


def one_in(others: int) -> settings:
    """Return the settings of a property that gets one example where `others` get that many, whatever the profile."""
    return settings(max_examples=max(1, settings.default.max_examples // others))
