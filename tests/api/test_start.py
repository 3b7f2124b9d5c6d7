"""The first address that anyone tries, and the groups of the description."""

from __future__ import annotations

from typing import Any
from urllib.parse import urlsplit

import pytest
from drf_spectacular.generators import SchemaGenerator

from practice.http.tags import TAGS
from tests.builders import Api

METHODS = {"get", "post", "put", "patch", "delete"}


@pytest.mark.django_db
@pytest.mark.parametrize("path", ["/", "/api/v1", "/api/v1/"])
def test_the_bare_addresses_point_to_documentation_and_description(path: str) -> None:
    client = Api().client
    shown = client.get(path).json()
    assert "README.md" in shown["first_steps"]
    for name in ("documentation", "openapi", "health", "api"):
        assert client.get(urlsplit(shown[name]).path).status_code == 200, name


@pytest.mark.django_db
def test_the_start_takes_no_parameter() -> None:
    answer = Api().client.get("/api/v1", {"page": "2"})
    assert (answer.status_code, answer.json()["code"]) == (400, "unknown_parameter")


@pytest.fixture(scope="module")
def description() -> Any:
    return SchemaGenerator().get_schema(request=None, public=True)


def test_every_group_has_its_text_and_every_text_its_group(description: Any) -> None:
    used = {
        tag
        for methods in description["paths"].values()
        for method, one in methods.items()
        if method in METHODS
        for tag in one["tags"]
    }
    assert used == {one["name"] for one in TAGS}
    assert [one["name"] for one in description["tags"]] == [one["name"] for one in TAGS]
    assert all(one["description"].endswith(".") for one in TAGS)
