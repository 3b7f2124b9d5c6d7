"""Bodies and queries that differ from a good one in one place."""

from __future__ import annotations

from collections.abc import Iterator
from copy import deepcopy
from typing import Any, Final
from urllib.parse import urlencode

from tests.api.description import Operation

Place = tuple[str | int, ...]
GONE: Final = object()

HOSTILE: Final = {
    "null": "a\x00b",
    "right to left": "\u202egnp.exe\u202c שלום",
    "emoji": "👩🏽‍🦽🩹",
    "long": "x" * 10_000,
    "formula": '=HYPERLINK("http://example.invalid","x")',
    "markup": "<script>alert(1)</script>'; DROP TABLE x; --",
    "blank": " \t\n ",
    "combining": "e" + "\u0301" * 500,
    "half a surrogate": "\ud800",
}
WRONG: Final[dict[str, Any]] = {
    "left out": GONE,
    "nothing": None,
    "a list": [],
    "an object": {},
    "a list in a list": [[[]]],
    "true": True,
    "negative": -1,
    "a fraction": 0.1,
    "beyond 64 bits": 10**30,
    "beyond a double": 1e308,
    "a day that is none": "2026-02-30",
    "a time without a zone": "2026-03-08T02:30:00",
    "the first year": "0001-01-01T00:00:00+23:59",
    "the last year": "9999-12-31T23:59:59-23:59",
    "an id of nothing": "00000000-0000-4000-8000-000000000404",
}
KINDS: Final = {**HOSTILE, **WRONG}


def places(value: Any, above: Place = ()) -> Iterator[Place]:
    """Every value within a body, from the outside in."""
    inner: Any = value.items() if isinstance(value, dict) else ()
    inner = enumerate(value) if isinstance(value, list) else inner
    for name, item in inner:
        yield (*above, name)
        yield from places(item, (*above, name))


def varied(body: Any, place: Place, value: Any) -> Any:
    """The body with another value at one place, or without it."""
    made = deepcopy(body)
    inside = made
    for name in place[:-1]:
        inside = inside[name]
    if value is GONE:
        del inside[place[-1]]
    else:
        inside[place[-1]] = value
    return made


def bodies(good: Any) -> list[tuple[str, Any]]:
    """What is wrong, and the body: every kind at every place, and a field that nobody knows."""
    whole = good if isinstance(good, dict) else {}
    found = [
        (f"{what} at {'.'.join(map(str, place))}", varied(whole, place, value))
        for place in places(whole)
        for what, value in KINDS.items()
    ]
    return [*found, ("a made-up field", {**whole, "made_up": 1}), ("a list", [whole])]


def queries(one: Operation) -> list[tuple[str, str]]:
    """What is wrong, and the query string: every kind of text for every parameter."""
    names = [said["name"] for said in one.said.get("parameters", ()) if said["in"] == "query"]
    texts = {what: value for what, value in KINDS.items() if isinstance(value, str | int | float)}
    texts = {what: value for what, value in texts.items() if value != HOSTILE["half a surrogate"]}
    return [
        (f"{what} for {name}", urlencode({name: value}))
        for name in [*names, "made_up"]
        for what, value in texts.items()
    ]
