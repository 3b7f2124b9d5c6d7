"""Worked examples of health histories: long bodies, beside the serializers that declare them."""

from __future__ import annotations

from typing import Any, Final

HISTORY_REPORT: Final[dict[str, Any]] = {
    "operations": [{"kind": "mastectomy", "side": "left", "on": "2025-09-01"}],
    "radiations": [
        {
            "sites": [{"region": "chest", "side": "left"}],
            "from_date": "2025-10-06",
            "until_date": "2025-11-14",
        }
    ],
    "conditions": [
        {"kind": "cording", "sites": [{"region": "arm", "side": "left"}], "since": "2026-01"}
    ],
    "usual_pain": 2,
    "informant": "client",
}

HISTORY_REVIEW: Final[dict[str, Any]] = {
    "operations": [
        {
            "kind": "mastectomy",
            "side": "left",
            "on": "2025-09-01",
            "incision_healed": True,
            "drains_out": True,
            "expander_in": False,
        }
    ],
    "neck": "none",
    "clearance_need": "not_needed",
    "pathology_under_treatment": False,
    "usual_pain": 2,
}
