"""The OpenAPI description by the names of the addresses, for tests that compare it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import Any

from django.urls import resolve
from drf_spectacular.generators import SchemaGenerator

from tests.builders import NOBODY_KNOWS

METHODS = ("GET", "POST", "PUT", "PATCH", "DELETE")
LEFT_OUT = frozenset({"start", "schema", "docs"})
"""Addresses that are no resources: what points to the description, and the description."""


@dataclass(frozen=True)
class Operation:
    """One method of one address as described."""

    name: str
    method: str
    path: str
    said: dict[str, Any]

    def __str__(self) -> str:
        return f"{self.name}-{self.method}"

    @property
    def statuses(self) -> set[int]:
        return {int(status) for status in self.said["responses"]}

    def media_types(self, status: int) -> set[str]:
        """The media types of an answer with this status."""
        return set(self.said["responses"][str(status)].get("content", {}))

    @property
    def body(self) -> dict[str, Any] | None:
        """Schema and examples of the body, where there is one."""
        content = self.said.get("requestBody", {}).get("content")
        return None if content is None else content["application/json"]

    @property
    def example(self) -> Any:
        """The worked body, or None."""
        found = list((self.body or {}).get("examples", {}).values())
        return found[0]["value"] if found else None

    @property
    def requires_version(self) -> bool:
        """Whether If-Match must be sent."""
        found = (one for one in self.said.get("parameters", ()) if one["name"] == "If-Match")
        return any(one.get("required", False) for one in found)

    def with_ids(self, ids: Any = None) -> str:
        """The path with ids for its placeholders; without any, ids of nothing."""
        path = self.path
        for one in self.said.get("parameters", ()):
            if one["in"] == "path":
                given = (ids or {}).get(one["name"]) or _of_nothing(one["schema"])
                path = path.replace(f"{{{one['name']}}}", str(given))
        return path


def _of_nothing(schema: dict[str, Any]) -> str:
    if schema.get("format") == "uuid":
        return str(NOBODY_KNOWS)
    return "1" if schema.get("type") == "integer" else "x"


@cache
def document() -> dict[str, Any]:
    """The whole description."""
    made: dict[str, Any] = SchemaGenerator().get_schema(request=None, public=True)
    return made


@cache
def operations() -> tuple[Operation, ...]:
    """Every method of every address that is described."""
    found = []
    for path, methods in document()["paths"].items():
        for method, said in methods.items():
            if method.upper() in METHODS:
                nameless = Operation("", method.upper(), path, said)
                name = resolve(nameless.with_ids()).url_name or ""
                found.append(Operation(name, nameless.method, path, said))
    return tuple(found)
