"""Plants a fault in a running process: the function's code is swapped, no file is written.

A registered handler is the function object itself, so its code changes with it.
"""

from __future__ import annotations

import ast
import functools
import importlib
from types import CodeType, FunctionType
from typing import Any

from tests.faults import ROOT, Fault
from tests.faults.fitting import definition


class NotSwappable(Exception):
    """A constant, class body, decorator or signature: needs a process that starts with it."""


def swap(fault: Fault) -> None:
    """Plant it here and now. Raises NotSwappable before anything was changed."""
    function, code = _function_and_code(fault)
    function.__code__ = code


def swappable(fault: Fault) -> bool:
    """Whether the fast lane can plant it."""
    try:
        _function_and_code(fault)
    except NotSwappable:
        return False
    return True


def _function_and_code(fault: Fault) -> tuple[FunctionType, CodeType]:
    if fault.path.suffix != ".py":
        raise NotSwappable(fault.path)
    source = (ROOT / fault.path).read_text()
    try:
        before, after = ast.parse(source), ast.parse(fault.planted(source))
    except SyntaxError:
        raise NotSwappable(fault.new) from None
    qualname = _outermost_function(before, fault.qualname)
    if _header(definition(before, qualname)) != _header(definition(after, qualname)):
        raise NotSwappable(qualname)
    function = _function(fault.target.split(":")[0], qualname)
    code = _code(compile(after, function.__code__.co_filename, "exec"), qualname)
    if code.co_freevars != function.__code__.co_freevars:
        raise NotSwappable(qualname)
    return function, code


def _outermost_function(tree: ast.Module, qualname: str) -> str:
    """A fault within a function in a function changes the outer one's code."""
    names = qualname.split(".")
    for length in range(1, len(names) + 1):
        outer = ".".join(names[:length])
        if isinstance(definition(tree, outer), ast.FunctionDef | ast.AsyncFunctionDef):
            return outer
    raise NotSwappable(qualname)


def _header(node: ast.stmt) -> str:
    """All but the body: decorators and defaults were run long ago."""
    parts = {name: value for name, value in ast.iter_fields(node) if name != "body"}
    return repr({name: _dump(value) for name, value in parts.items()})


def _dump(value: Any) -> Any:
    if isinstance(value, list):
        return [_dump(one) for one in value]
    return ast.dump(value) if isinstance(value, ast.AST) else value


def _function(module: str, qualname: str) -> FunctionType:
    found: Any = importlib.import_module(module)
    for name in qualname.split("."):
        found = vars(found).get(name)
    for _ in range(8):
        if isinstance(found, FunctionType) and found.__code__.co_qualname == qualname:
            return found
        found = _inner(found)
    raise NotSwappable(qualname)


def _inner(wrapped: Any) -> Any:
    if isinstance(wrapped, property):
        return wrapped.fget
    if isinstance(wrapped, functools.cached_property):
        return wrapped.func
    return getattr(wrapped, "__wrapped__", None) or getattr(wrapped, "__func__", None)


def _code(module: CodeType, qualname: str) -> CodeType:
    waiting = [module]
    while waiting:
        code = waiting.pop()
        if code.co_qualname == qualname:
            return code
        waiting += [one for one in code.co_consts if isinstance(one, CodeType)]
    raise NotSwappable(qualname)
