"""What a PATCH requires stands in the description; one that takes a part requires nothing."""

from __future__ import annotations

from typing import Any

import pytest
from drf_spectacular.generators import SchemaGenerator


@pytest.mark.parametrize(
    ("address", "required"),
    [
        ("sessions/{session_id}/note", ["device", "sequence"]),
        ("me", ["current_password", "new_password"]),
        ("settings/{setting_id}", ["citation", "value"]),
        ("authorizations/{authorization_id}", ["reason"]),
        ("clients/{client_id}", None),
        ("staff/{staff_id}", None),
    ],
)
def test_a_patch_says_what_it_requires(address: str, required: list[str] | None) -> None:
    description: dict[str, Any] = SchemaGenerator().get_schema(request=None, public=True)
    body = description["paths"][f"/api/v1/{address}"]["patch"]["requestBody"]
    name = body["content"]["application/json"]["schema"]["$ref"].rsplit("/", 1)[-1]
    found = description["components"]["schemas"][name].get("required")
    assert (found and sorted(found)) == required
    assert body.get("required", False) is bool(required)
