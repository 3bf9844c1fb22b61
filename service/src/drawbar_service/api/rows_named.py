"""Members of requests that name a row of a table, and of which."""

from collections.abc import Mapping
from typing import Final

ROWS_NAMED: Final[Mapping[str, Mapping[str, str]]] = {
    "GroundTool": {"tool": "draft"},
    "RotaryNeed": {"machine": "rotary"},
    "Implement": {"practice": "practice"},
    "SuitableDays": {"row": "suitable-days"},
    "FieldCapacityRequest": {"practice": "practice"},
    "Timeliness": {"row": "timeliness"},
    "CompletionRequest": {"breakdowns": "breakdown"},
    "FieldPass": {"operation": "residue-retention"},
    "WearPart": {"point": "wear"},
    "OwnedMachine": {"remaining_value": "remaining-value", "practice": "practice"},
}
"""Members by type, each with the id of its table."""
