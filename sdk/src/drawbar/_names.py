"""Names that were changed. Generated from the contract: run `python openapi/generate.py`."""

from collections.abc import Mapping
from typing import Final

MEMBERS: Final[Mapping[str, Mapping[str, str]]] = {
    "CompletionRequest": {"finish_by": "end", "machines": "machine_count"},
    "FieldCapacityRequest": {"kind": "practice"},
    "HitchedMachine": {"centre_of_mass": "center_of_mass"},
    "Implement": {
        "centre_of_mass": "center_of_mass",
        "kind": "practice",
        "motion_resistance": "motion_resistance_ratio",
    },
    "KnownPull": {"centre_of_mass": "center_of_mass"},
    "Prices": {"labour": "labor"},
    "SystemPrices": {"labour": "labor"},
    "TractionRequest": {"centre_of_mass": "center_of_mass"},
    "Tractor": {"centre_of_mass_height": "center_of_mass_height"},
    "YearsWork": {"labour": "labor"},
}
"""New names of members of requests by their old ones, by type."""
ROWS: Final[Mapping[str, Mapping[str, str]]] = {
    "practice": {
        "tandem-disk": "disk-harrow.tandem",
        "heavy-duty-disk": "disk-harrow.heavy-duty",
        "rectangular-baler": "baler.small-rectangular",
        "large-rectangular-baler": "baler.large-rectangular",
        "large-round-baler": "baler.large-round",
        "side-delivery-rake": "rake.side-delivery",
    },
    "suitable-days": {"illinois.autumn": "illinois.fall"},
    "defaults": {
        "centre_of_mass_height": "center_of_mass_height",
        "three_point_centre_of_mass": "three_point_center_of_mass",
        "labour_overhead": "labor_overhead",
    },
}
"""New ids of rows by their old ones, by table."""
GOING: Final[Mapping[str, list[str]]] = {
    "CostAnswer": ["labour"],
    "CostParts": ["labour"],
    "SeasonCost": ["for_labour"],
}
"""Members of answers that have a new name beside them, by type; people are shown the new ones only."""
