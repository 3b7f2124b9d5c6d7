"""Where a fault fits: the span of a definition, and one text within it.

Texts are compared as they stand, and where that fails token by token, so that a new line break
or indentation moves no fault. Whole syntax trees would ask that each old text be a statement of its
own; most faults change half a condition.
"""

from __future__ import annotations

import ast
import io
import json
import re
import tokenize
from collections.abc import Iterator

BLANK = {
    tokenize.NL,
    tokenize.NEWLINE,
    tokenize.INDENT,
    tokenize.DEDENT,
    tokenize.COMMENT,
    tokenize.ENDMARKER,
}


def place_of(source: str, qualname: str, *, json_file: bool) -> tuple[int, int]:
    """First and last character of what the name names."""
    if json_file:
        return _json_place(source, qualname)
    starts = list(_line_starts(source))
    first, last = span(source, qualname)
    return starts[first], starts[last]


def span(source: str, qualname: str) -> tuple[int, int]:
    """The lines, from 0, of a function, class or constant."""
    found = definition(ast.parse(source), qualname)
    decorators = [one.lineno for one in getattr(found, "decorator_list", [])]
    return min([found.lineno, *decorators]) - 1, found.end_lineno or found.lineno


def definition(tree: ast.Module, qualname: str) -> ast.stmt:
    """The node of a function, class or constant. Raises ValueError if there is none."""
    body, found = tree.body, None
    for name in qualname.split("."):
        found = next((one for one in body if name in _names(one)), None)
        if found is None:
            raise ValueError(f"there is no {qualname}")
        body = getattr(found, "body", [])
    assert found is not None
    return found


def replaced(inside: str, old: str, new: str) -> str:
    """The text with the one place changed. Raises ValueError if it is not exactly one."""
    if inside.count(old) == 1:
        return inside.replace(old, new)
    places = list(_token_places(inside, old)) if old not in inside else []
    if len(places) != 1:
        raise ValueError(f"{inside.count(old) or len(places)} places for {old!r}")
    start, end = places[0]
    return inside[:start] + new.strip() + inside[end:]


def _token_places(inside: str, old: str) -> Iterator[tuple[int, int]]:
    wanted = [text for text, _, _ in _tokens(old)]
    there = _tokens(inside)
    for at in range(len(there) - len(wanted) + 1 if wanted else 0):
        if [text for text, _, _ in there[at : at + len(wanted)]] == wanted:
            yield there[at][1], there[at + len(wanted) - 1][2]


def _tokens(text: str) -> list[tuple[str, int, int]]:
    """Each token with its first and last character; half a statement has tokens too."""
    starts = list(_line_starts(text))
    found = []
    try:
        for one in tokenize.generate_tokens(io.StringIO(text).readline):
            if one.type not in BLANK and one.string:
                start = starts[one.start[0] - 1] + one.start[1]
                found.append((one.string, start, starts[one.end[0] - 1] + one.end[1]))
    except (tokenize.TokenError, IndentationError):
        pass  # An open bracket at the end of half a statement: the tokens before it count.
    return found


def _line_starts(text: str) -> Iterator[int]:
    at = 0
    yield at
    for line in text.splitlines(keepends=True):
        at += len(line)
        yield at


def _json_place(source: str, key: str) -> tuple[int, int]:
    if not key:
        return 0, len(source)
    found = re.search(rf'"{re.escape(key)}":\s*', source)
    if found is None:
        raise ValueError(f"there is no {key}")
    _, end = json.JSONDecoder().raw_decode(source, found.end())
    return found.end(), end


def _names(node: ast.stmt) -> list[str]:
    if isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef | ast.ClassDef):
        return [node.name]
    if isinstance(node, ast.Assign):
        return [one.id for one in node.targets if isinstance(one, ast.Name)]
    if isinstance(node, ast.AnnAssign) and isinstance(node.target, ast.Name):
        return [node.target.id]
    return []
