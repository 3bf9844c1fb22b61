"""What all tests share: how hard properties are searched, and where shared helpers are found.

`pytest --hypothesis-profile nightly` searches a hundred times harder.
"""

import sys
from pathlib import Path

from hypothesis import HealthCheck, Phase, settings

# Helpers are imported as tests.<folder>.<name>, from wherever pytest is started.
sys.path.insert(0, str(Path(__file__).parent.parent))

settings.register_profile(
    "default",
    max_examples=30,
    deadline=None,
    derandomize=True,
    # A failure is shrunk but not explained, which would take as long again.
    phases=[Phase.explicit, Phase.generate, Phase.shrink],
    report_multiple_bugs=False,
    suppress_health_check=[HealthCheck.too_slow],
)
settings.register_profile(
    "nightly", max_examples=3000, deadline=None, suppress_health_check=[HealthCheck.too_slow], print_blob=True
)
settings.load_profile("default")
