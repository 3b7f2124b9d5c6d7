"""Bodies of requests that go through, to start from."""

from __future__ import annotations

from typing import Any

CLIENT: dict[str, Any] = {
    "given_name": "Íris",
    "family_name": "Lindqvist",
    "birth_date": "1971-04-23",
    "phone": "(415) 555-0123",
    "email": "iris@example.org",
    "contact_by": "mail",
}
CONSENT: dict[str, Any] = {
    "regions": [
        {"region": "shoulder", "side": "both"},
        {"region": "arm", "side": "left"},
    ],
    "techniques": ["active_isolated"],
    "until": "2027-12-31",
    "form": "paper",
    "signed_on": "2026-03-02",
    "language": "en",
}
HISTORY: dict[str, Any] = {
    "operations": [{"kind": "mastectomy", "side": "left", "on": "2025-09-01"}],
    "radiations": [{"sites": [{"region": "chest", "side": "left"}], "from_date": "2025-10-01"}],
}
REVIEWED: dict[str, Any] = {
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
    "usual_pain": 2,
}
CLEARANCE: dict[str, Any] = {
    "kind": "clearance",
    "prescriber": "surgeon",
    "prescriber_name": "Dr. Amara Whitfield",
    "given_on": "2025-12-01",
    "subjects": ["stretching"],
    "sites": [{"region": "shoulder", "side": "left"}, {"region": "arm", "side": "left"}],
    "techniques": ["contract_relax"],
}
