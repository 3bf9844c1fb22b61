"""What is asked: a match, and what of it is uncertain."""

from drawbar_service.api.v1.match.request import MatchRequest


class SensitivityRequest(MatchRequest, frozen=True, kw_only=True, forbid_unknown_fields=True):
    """A match request; `odds` says what is uncertain."""
