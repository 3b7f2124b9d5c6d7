"""Who may use what: the one hand-written matrix of endpoint × method × role.

Name of the address -> method -> roles that may use it. Add a line for every new
endpoint and method; ``test_matrix`` fails for a cell that stands in only one of the
matrix and the URL map, and calls every cell as every role, nobody, and with an
expired and a revoked token. ``ANYONE`` means without signing in.
"""

from __future__ import annotations

O, D, P, B = "owner", "front_desk", "practitioner", "billing"
ALL = frozenset({O, D, P, B})
ANYONE = frozenset({O, D, P, B, "nobody"})

MATRIX: dict[str, dict[str, frozenset[str] | set[str]]] = {
    # --- practice ---------------------------------------------------------------------
    "health-live": {"GET": ANYONE},
    "health-ready": {"GET": ANYONE},
    "schema": {"GET": ANYONE},
    "docs": {"GET": ANYONE},
    "token-list": {"GET": ALL, "POST": ANYONE},
    "token-detail": {"DELETE": ALL},
    "me": {"GET": ALL, "PATCH": ALL},
    "practice": {"GET": ALL, "PATCH": {O}},
    "setting-list": {"GET": {O, P}},
    "setting-detail": {"GET": {O, P}, "PATCH": {O}},
    "setting-change-list": {"GET": {O}},
    "limit-list": {"GET": ALL, "POST": {O}},
    "limit-detail": {"GET": ALL, "PATCH": {O}},
    "facility-list": {"GET": ALL, "POST": {O}},
    "facility-detail": {"GET": ALL, "PATCH": {O}},
    "policy-list": {"GET": ALL, "POST": {O}},
    "policy-detail": {"DELETE": {O}},
    "starter-limits": {"POST": {O}},
    "room-list": {"GET": ALL, "POST": {O}},
    "room-detail": {"GET": ALL, "PATCH": {O}},
    "practitioner-list": {"GET": ALL, "POST": {O}},
    "practitioner-detail": {"GET": ALL, "PATCH": {O}},
    "licence-list": {"GET": ALL, "POST": {O}},
    "licence-detail": {"PATCH": {O}},
    "competence-list": {"GET": ALL, "POST": {O}},
    "competence-detail": {"DELETE": {O}},
    "supervision-list": {"GET": ALL, "POST": {O}},
    "supervision-detail": {"DELETE": {O}},
    "staff-list": {"GET": {O}, "POST": {O}},
    "staff-detail": {"GET": {O}, "PATCH": {O}},
    # --- clients ----------------------------------------------------------------------
    # --- sessions ---------------------------------------------------------------------
    # --- billing ----------------------------------------------------------------------
}
