"""Who and what the demo practice is made of. Everyone in it is invented."""

from __future__ import annotations

from typing import Any

PRACTICE = "Harbor and Mill"
PASSWORD = "only for the demo practice"  # noqa: S105  printed at every start of the demo
LOGINS = (
    ("owner", "owner", PASSWORD),
    ("front desk", "desk", PASSWORD),
    ("practitioner", "ines", PASSWORD),
    ("billing", "billing", PASSWORD),
)

WEEKDAYS = (1, 2, 3, 4, 5, 6)
FACILITIES: dict[str, dict[str, Any]] = {
    "harbor": {
        "name": "Harbor Lane",
        "zone": "America/Los_Angeles",
        "jurisdiction": "US-CA",
        "phone": "+14155550123",
    },
    "mill": {
        "name": "Mill Court",
        "zone": "America/New_York",
        "jurisdiction": "US-PA",
        "phone": "+12155550147",
    },
}
ROOMS = (("harbor", "Bay room"), ("harbor", "Garden room"), ("mill", "Room 1"), ("mill", "Room 2"))

PRACTITIONERS: dict[str, dict[str, Any]] = {
    "ines": {
        "name": "Ines Aldana",
        "gender": "woman",
        "credential": "physical_therapist",
        "npi": "1234567893",
        "languages": ["en", "es"],
        "works": {"harbor": ("08:00", "16:00", (1, 2, 3, 4, 5)), "mill": ("09:00", "13:00", (6,))},
        "techniques": ("active_isolated", "contract_relax", "passive"),
        "signed_off_by": "Jonas Reyk",
    },
    "jonas": {
        "name": "Jonas Reyk",
        "gender": "man",
        "credential": "occupational_therapist",
        "languages": ["en"],
        "works": {"mill": ("08:00", "17:00", (1, 2, 3, 4, 5)), "harbor": ("09:00", "12:00", (6,))},
        "techniques": ("active_isolated", "contract_relax"),
        "signed_off_by": "Ines Aldana",
    },
    "mira": {
        "name": "Mira Osei",
        "gender": "woman",
        "credential": "massage_therapist",
        "languages": ["en", "fr"],
        "works": {"harbor": ("10:00", "18:00", WEEKDAYS)},
        "techniques": ("active_isolated", "passive"),
        "signed_off_by": "Ines Aldana",
    },
    "theo": {
        "name": "Theo Brandt",
        "gender": "man",
        "credential": "personal_trainer",
        "languages": ["en"],
        "works": {"harbor": ("07:00", "19:00", WEEKDAYS)},
        "techniques": ("active_isolated",),
        "signed_off_by": "Ines Aldana",
    },
    "sunniva": {
        "name": "Sunniva Adeyemo",
        "gender": "woman",
        "credential": "massage_therapist",
        "languages": ["en", "vi"],
        "works": {"mill": ("10:00", "18:00", (2, 3, 4, 5, 6))},
        "techniques": ("active_isolated", "passive"),
        "signed_off_by": "Jonas Reyk",
    },
    "radek": {
        "name": "Radek Amsel",
        "gender": "man",
        "credential": "physical_therapist",
        "languages": ["en", "pl"],
        "works": {"mill": ("08:00", "19:00", WEEKDAYS)},
        "techniques": ("active_isolated", "contract_relax"),
        "signed_off_by": "Jonas Reyk",
    },
}
EVALUATORS = {"harbor": "ines", "mill": "jonas"}
"""Who reviews histories and prescribes stretches at each place."""

STAFF: tuple[tuple[str, str, str, tuple[str, ...], str | None], ...] = (
    ("desk", "Pilar Quist", "front_desk", ("harbor", "mill"), None),
    ("billing", "Bruno Lindt", "billing", (), None),
    ("ines", "Ines Aldana", "practitioner", ("harbor", "mill"), "ines"),
    ("jonas", "Jonas Reyk", "practitioner", ("harbor", "mill"), "jonas"),
    ("mira", "Mira Osei", "practitioner", ("harbor",), "mira"),
    ("theo", "Theo Brandt", "practitioner", ("harbor",), "theo"),
    ("sunniva", "Sunniva Adeyemo", "practitioner", ("mill",), "sunniva"),
    ("radek", "Radek Amsel", "practitioner", ("mill",), "radek"),
)

SERVICE_CODES = (("STRETCH15", "stretching, 15 min"), ("EXERCISE15", "cardio or strength, 15 min"))
PAID = ("physical_therapist", "occupational_therapist")
PAYER: dict[str, Any] = {
    "name": "Lakeshore Health Plan",
    "unit_rule": "cms_total_time",
    "paid_credentials": list(PAID),
    "disclosure_address": "Claims, 1 Lakeshore Drive",
    "rates": [
        {"code": "STRETCH15", "amount": "31.25", "source": "contract of 4 January 2026"},
        {"code": "EXERCISE15", "amount": "29.80", "source": "contract of 4 January 2026"},
    ],
    "services": [
        {"part": part, "credential": credential, "code": code}
        for part, code in (
            ("stretching", "STRETCH15"),
            ("cardio", "EXERCISE15"),
            ("strength", "EXERCISE15"),
        )
        for credential in PAID
    ],
}
