"""The walk over the URL map: every endpoint × method × caller against the matrix."""

from __future__ import annotations

import uuid
from collections.abc import Iterator
from typing import Any

import pytest
from django.urls import URLPattern, URLResolver, get_resolver, reverse

from practice.core.terms import Role
from tests.api.matrix import ANYONE, MATRIX
from tests.builders import Api, Built, token_for

METHODS = ("GET", "POST", "PUT", "PATCH", "DELETE")
SAMPLES: dict[str, Any] = {
    "UUIDConverter": uuid.UUID("00000000-0000-4000-8000-000000000404"),
    "IntConverter": 1,
    "StringConverter": "x",
    "SlugConverter": "x",
}


def addresses(found: Any = None) -> Iterator[URLPattern]:
    for entry in found if found is not None else get_resolver().url_patterns:
        if isinstance(entry, URLResolver):
            yield from addresses(entry.url_patterns)
        else:
            yield entry


BY_NAME = {entry.name or str(entry.pattern): entry for entry in addresses()}


def methods_of(entry: URLPattern) -> set[str]:
    callback: Any = entry.callback
    view = callback.view_class
    return {
        method
        for method in METHODS
        if hasattr(view, method.lower()) and method.lower() in view.http_method_names
    }


def path_of(entry: URLPattern) -> str:
    kinds = entry.pattern.converters
    samples = {name: SAMPLES[type(kind).__name__] for name, kind in kinds.items()}
    return reverse(entry.name, kwargs=samples)


def test_every_address_has_a_name_of_its_own() -> None:
    names = [entry.name for entry in addresses()]
    assert all(names)
    assert len(names) == len(set(names))


def test_matrix_and_url_map_name_the_same_cells() -> None:
    there = {(name, m) for name, entry in BY_NAME.items() for m in methods_of(entry)}
    written = {(name, m) for name, row in MATRIX.items() for m in row}
    assert there - written == set(), "cells that the matrix does not list"
    assert written - there == set(), "cells of the matrix that no address has"


def test_every_cell_names_known_roles_and_someone() -> None:
    for name, row in MATRIX.items():
        for method, roles in row.items():
            assert roles, (name, method)
            assert roles <= ANYONE, (name, method)


@pytest.mark.parametrize("name", sorted(BY_NAME))
def test_each_caller_gets_what_the_matrix_says(built: Built, name: str) -> None:
    callers: dict[str, Api] = {role.value: built.api(role) for role in Role}
    owner = built.staff[Role.OWNER]
    for method, allowed in MATRIX.get(name, {}).items():
        for caller in (*callers, "nobody", "expired", "revoked"):
            match caller:
                case "nobody":
                    api = Api()
                case "expired":
                    api = Api(token_for(owner, expired=True))
                case "revoked":
                    api = Api(token_for(owner, revoked=True))
                case _:
                    api = callers[caller]
            status = api.send(method, path_of(BY_NAME[name])).status_code
            cell = (name, method, caller, status)
            if caller in callers:
                assert (status not in (401, 403)) if caller in allowed else (status == 403), cell
            else:
                assert (status != 401) if "nobody" in allowed else (status == 401), cell
            assert status < 500, cell
