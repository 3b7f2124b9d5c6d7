"""Who may use what: the one hand-written matrix of endpoint × method × role.

Name of the address -> method -> roles that may use it. Add a line for every new
endpoint and method; ``test_matrix`` fails for a cell that stands in only one of the
matrix and the URL map, and calls every cell as every role, nobody, and with an
expired and a revoked token. ``ANYONE`` means without signing in.
"""

from __future__ import annotations

OWNER, DESK, PRACTITIONER, BILLING = "owner", "front_desk", "practitioner", "billing"
ALL = frozenset({OWNER, DESK, PRACTITIONER, BILLING})
ANYONE = ALL | {"nobody"}

MATRIX: dict[str, dict[str, frozenset[str] | set[str]]] = {
    # --- practice ---------------------------------------------------------------------
    "health-live": {"GET": ANYONE},
    "health-ready": {"GET": ANYONE},
    "schema": {"GET": ANYONE},
    "docs": {"GET": ANYONE},
    "token-list": {"GET": ALL, "POST": ANYONE},
    "token-detail": {"DELETE": ALL},
    "me": {"GET": ALL, "PATCH": ALL},
    "practice": {"GET": ALL, "PATCH": {OWNER}},
    "setting-list": {"GET": {OWNER, PRACTITIONER}},
    "setting-detail": {"GET": {OWNER, PRACTITIONER}, "PATCH": {OWNER}},
    "setting-change-list": {"GET": {OWNER}},
    "limit-list": {"GET": ALL, "POST": {OWNER}},
    "limit-detail": {"GET": ALL, "PATCH": {OWNER}},
    "facility-list": {"GET": ALL, "POST": {OWNER}},
    "facility-detail": {"GET": ALL, "PATCH": {OWNER}},
    "policy-list": {"GET": ALL, "POST": {OWNER}},
    "policy-detail": {"DELETE": {OWNER}},
    "starter-limits": {"POST": {OWNER}},
    "room-list": {"GET": ALL, "POST": {OWNER}},
    "room-detail": {"GET": ALL, "PATCH": {OWNER}},
    "practitioner-list": {"GET": ALL, "POST": {OWNER}},
    "practitioner-detail": {"GET": ALL, "PATCH": {OWNER}},
    "licence-list": {"GET": ALL, "POST": {OWNER}},
    "licence-detail": {"PATCH": {OWNER}},
    "competence-list": {"GET": ALL, "POST": {OWNER}},
    "competence-detail": {"DELETE": {OWNER}},
    "supervision-list": {"GET": ALL, "POST": {OWNER}},
    "supervision-detail": {"DELETE": {OWNER}},
    "staff-list": {"GET": {OWNER}, "POST": {OWNER}},
    "staff-detail": {"GET": {OWNER}, "PATCH": {OWNER}},
    "erasure": {"GET": {OWNER, PRACTITIONER}, "POST": {OWNER}, "DELETE": {OWNER}},
    "erasure-agreement": {"POST": {OWNER, PRACTITIONER}},
    "access-log": {"GET": {OWNER}},
    "log-verification": {"GET": {OWNER}},
    "log-comparison": {"GET": {OWNER}},
    "due-work": {"GET": {OWNER}},
    # --- clients ----------------------------------------------------------------------
    # --- sessions ---------------------------------------------------------------------
    "session-list": {"GET": ALL, "POST": {OWNER, DESK, PRACTITIONER}},
    "session-detail": {"GET": ALL},
    "session-move": {"POST": {OWNER, DESK, PRACTITIONER}},
    "session-cancellation": {"POST": {OWNER, DESK, PRACTITIONER}},
    "session-absence": {"POST": {OWNER, DESK, PRACTITIONER}},
    "session-arrival": {"POST": {OWNER, DESK, PRACTITIONER}},
    "session-opening": {"POST": {PRACTITIONER}},
    "session-stop": {"POST": {PRACTITIONER}},
    "session-plan": {"GET": {OWNER, PRACTITIONER}},
    "session-note": {
        "GET": {OWNER, PRACTITIONER},
        "PUT": {PRACTITIONER},
        "PATCH": {PRACTITIONER},
    },
    "note-signature": {"POST": {PRACTITIONER}},
    "note-addenda": {"POST": {PRACTITIONER}},
    "note-outside-list": {"GET": {OWNER}},
    "open-times": {"GET": {OWNER, DESK, PRACTITIONER}},
    "client-permissions": {"GET": {OWNER, DESK, PRACTITIONER}},
    "reading-list": {"GET": {OWNER, PRACTITIONER}, "POST": {OWNER, PRACTITIONER}},
    "reading-picture": {"GET": {OWNER, PRACTITIONER}},
    "reading-in-error": {"POST": {OWNER, PRACTITIONER}},
    "goal-list": {"GET": {OWNER, PRACTITIONER}, "POST": {OWNER, PRACTITIONER}},
    "posture-list": {"GET": {OWNER, PRACTITIONER}, "POST": {OWNER, PRACTITIONER}},
    "posture-in-error": {"POST": {OWNER, PRACTITIONER}},
    "girths-list": {"GET": {OWNER, PRACTITIONER}, "POST": {OWNER, PRACTITIONER}},
    "girths-in-error": {"POST": {OWNER, PRACTITIONER}},
    "stretch-list": {"GET": {OWNER, PRACTITIONER}, "POST": {OWNER, PRACTITIONER}},
    "stretch-start": {"POST": {OWNER, PRACTITIONER}},
    "stretch-discharge": {"POST": {OWNER, PRACTITIONER}},
    "stretch-resume": {"POST": {OWNER, PRACTITIONER}},
    "stretch-end": {"POST": {OWNER, PRACTITIONER}},
    "home-exercise-list": {"GET": {OWNER, PRACTITIONER}, "POST": {OWNER, PRACTITIONER}},
    "home-exercise-taken-back": {"POST": {OWNER, PRACTITIONER}},
    "recheck-list": {"GET": {OWNER, DESK, PRACTITIONER}},
    "recheck-detail": {"GET": {OWNER, DESK, PRACTITIONER}},
    "recheck-skip": {"POST": {OWNER, DESK, PRACTITIONER}},
    "catalogue-list": {"GET": {OWNER, PRACTITIONER}, "POST": {OWNER}},
    "catalogue-detail": {"GET": {OWNER, PRACTITIONER}, "PATCH": {OWNER}},
    "catalogue-versions": {"GET": {OWNER, PRACTITIONER}},
    "session-split": {"GET": {OWNER, PRACTITIONER}, "PUT": {OWNER, PRACTITIONER}},
    # --- billing ----------------------------------------------------------------------
}
