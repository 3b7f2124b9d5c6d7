"""An address that a text names is there: its path, its method and its query parameters."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path
from typing import Any
from urllib.parse import parse_qsl

import pytest
from django.urls import Resolver404, resolve

from practice.http.base_views import PagedView
from practice.http.pagination import CursorPages
from tests.api.test_matrix import BY_NAME, SAMPLES
from tests.api.test_query_parameters import FILTERS, FORMS

ROOT = Path(__file__).parents[2]
FIRST_SEGMENTS = {str(entry.pattern).split("/")[0] for entry in BY_NAME.values()}
ADDRESS = re.compile(r"(?:(?<=\s)|(?<=`)|^)(?:(GET|POST|PUT|PATCH|DELETE) )?(/[a-z][\w{}/?=&-]*)")
INSERTED = "{}"


def texts_of(source: str, *, docstrings: bool = True) -> Iterator[str]:
    """Every string of a module; what an f-string inserts stands as ``{}``.

    Without ``docstrings`` strings that stand as a statement of their own are left out.
    """

    class Strings(ast.NodeVisitor):
        def __init__(self) -> None:
            self.found: list[str] = []

        def visit_Expr(self, node: ast.Expr) -> None:
            if docstrings or not isinstance(node.value, ast.Constant):
                self.generic_visit(node)

        def visit_Constant(self, node: ast.Constant) -> None:
            if isinstance(node.value, str):
                self.found.append(node.value)

        def visit_JoinedStr(self, node: ast.JoinedStr) -> None:
            parts = [p.value if isinstance(p, ast.Constant) else INSERTED for p in node.values]
            self.found.append("".join(str(part) for part in parts))

    strings = Strings()
    strings.visit(ast.parse(source))
    yield from strings.found


def addresses_in(text: str) -> Iterator[tuple[str | None, str, dict[str, str]]]:
    """Method (if named), path and query of every address of the API in a text."""
    for method, address in ADDRESS.findall(text):
        path, _, query = address.partition("?")
        if method or path.split("/")[1] in FIRST_SEGMENTS:
            yield method or None, path, dict(parse_qsl(query, keep_blank_values=True))


def wrong_with(method: str | None, path: str, query: dict[str, str]) -> str | None:
    """What is wrong with an address, or None."""
    filled = path.replace(INSERTED, str(SAMPLES["UUIDConverter"]))
    try:
        found = resolve(f"/api/v1{filled}")
    except Resolver404:
        return "there is no such path"
    view: Any = found.func.view_class  # type: ignore[attr-defined]
    if method and not hasattr(view, method.lower()):
        return f"it takes no {method}"
    known = {one.values[-2] for one in (*FILTERS, *FORMS) if one.values[0] == found.url_name}
    paging = CursorPages().names() if issubclass(view, PagedView) else set()
    unknown = set(query) - known - paging
    return f"it takes no {', '.join(sorted(unknown))}" if unknown else None


MODULES = [
    file.relative_to(ROOT)
    for app in ("practice", "clients", "sessions", "billing")
    for file in sorted((ROOT / app).rglob("*.py"))
]
NAMED = [
    (str(module), *address)
    for module in MODULES
    for text in texts_of((ROOT / module).read_text(encoding="utf-8"))
    for address in addresses_in(text)
]


def test_texts_name_addresses() -> None:
    assert len(NAMED) >= 6


@pytest.mark.parametrize(("module", "method", "path", "query"), NAMED)
def test_an_address_in_a_text_is_there(
    module: str, method: str | None, path: str, query: dict[str, str]
) -> None:
    assert wrong_with(method, path, query) is None, (module, path)


@pytest.mark.parametrize(
    ("text", "wrong"),
    [
        ("See GET /sessions?practitioner={} for them.", "it takes no practitioner"),
        ("See GET /meetings.", "there is no such path"),
        ("Set it at /sessions/{}/elsewhere.", "there is no such path"),
        ("DELETE /sessions/{} ends it.", "it takes no DELETE"),
    ],
)
def test_a_wrong_address_is_found(text: str, wrong: str) -> None:
    assert [wrong_with(*one) for one in addresses_in(text)] == [wrong]
