"""The shape of the house: no cycle of files, no long file or function, nothing with many arguments.

What import-linter holds (layers, order of features, purity) stands in ``pyproject.toml``.
"""

from __future__ import annotations

import ast
from collections.abc import Iterator
from functools import cache
from graphlib import CycleError, TopologicalSorter
from pathlib import Path

from django.conf import settings

ROOT = Path(settings.BASE_DIR)
APPS = ("practice", "clients", "sessions", "billing")
LONGEST_FILE, LONGEST_FUNCTION, MOST_ARGUMENTS = 300, 60, 7
Function = ast.FunctionDef | ast.AsyncFunctionDef


@cache
def modules() -> dict[str, Path]:
    """Every product module by its dotted name; migrations are written by a tool."""
    found = {}
    for app in APPS:
        for path in sorted((ROOT / app).rglob("*.py")):
            if "migrations" not in path.parts:
                name = ".".join(path.relative_to(ROOT).with_suffix("").parts)
                found[name.removesuffix(".__init__")] = path
    return found


@cache
def tree(path: Path) -> ast.Module:
    return ast.parse(path.read_text())


def imported(name: str, path: Path) -> Iterator[str]:
    """The product modules that a module imports, wherever in it the import stands."""
    for node in ast.walk(tree(path)):
        if isinstance(node, ast.Import):
            yield from (one.name for one in node.names if one.name in modules())
        elif isinstance(node, ast.ImportFrom) and node.module:
            for one in node.names:
                full = f"{node.module}.{one.name}"
                wanted = full if full in modules() else node.module
                if wanted in modules() and wanted != name:
                    yield wanted


def functions(path: Path) -> Iterator[Function]:
    return (node for node in ast.walk(tree(path)) if isinstance(node, Function))


def test_no_cycle_of_files() -> None:
    graph = {name: set(imported(name, path)) for name, path in modules().items()}
    try:
        TopologicalSorter(graph).prepare()
    except CycleError as error:
        raise AssertionError(" → ".join(error.args[1])) from None


def test_no_long_file() -> None:
    long = {
        name: lines
        for name, path in modules().items()
        if (lines := len(path.read_text().splitlines())) > LONGEST_FILE
    }
    assert not long


def test_no_long_function() -> None:
    long = {
        f"{name}:{one.name}": lines
        for name, path in modules().items()
        for one in functions(path)
        if (lines := (one.end_lineno or one.lineno) - one.lineno + 1) > LONGEST_FUNCTION
    }
    assert not long


def test_no_function_with_many_arguments() -> None:
    many = {}
    for name, path in modules().items():
        for one in functions(path):
            given = [*one.args.posonlyargs, *one.args.args, *one.args.kwonlyargs]
            count = sum(arg.arg not in ("self", "cls") for arg in given)
            if count > MOST_ARGUMENTS:
                many[f"{name}:{one.name}"] = count
    assert not many


def test_packages_say_nothing() -> None:
    assert not {
        name
        for name, path in modules().items()
        if path.name == "__init__.py" and name not in APPS and path.read_text().strip()
    }


def of_views(name: str) -> bool:
    """Whether a module is one of views: ``views``, ``…_views``, or one of a package ``views``."""
    return any(part == "views" or part.endswith("_views") for part in name.split("."))


def test_views_never_query() -> None:
    managers = {"objects", "_default_manager", "_base_manager"}
    asking = [
        f"{name}:{node.lineno}"
        for name, path in modules().items()
        if of_views(name)
        for node in ast.walk(tree(path))
        if isinstance(node, ast.Attribute) and node.attr in managers
    ]
    assert not asking


def test_filters_stand_in_files_of_their_own() -> None:
    elsewhere = [
        f"{name}:{node.name}"
        for name, path in modules().items()
        if not name.endswith(".filters")
        for node in ast.walk(tree(path))
        if isinstance(node, ast.ClassDef)
        and any(isinstance(base, ast.Name) and base.id == "FilterSet" for base in node.bases)
    ]
    assert not elsewhere
