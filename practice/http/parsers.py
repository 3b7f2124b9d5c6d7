"""JSON only, and only JSON that later code can hold.

Refused with 400: what is not JSON, a name given twice in one object, numbers and
the character NUL, which no column holds, half of a surrogate pair, and nesting deeper than 50.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from typing import IO, Any, Final, NoReturn

from rest_framework.parsers import BaseParser
from rest_framework.renderers import JSONRenderer

from practice.core.reasons import Rejected

DEEPEST: Final = 50
LARGEST: Final = 2**63 - 1
"""The largest whole number that both engines hold in a column."""


def _malformed(detail: str) -> Rejected:
    return Rejected("malformed_json", detail, status=400)


def _whole(text: str) -> int:
    number = int(text) if len(text.lstrip("-")) < 20 else LARGEST + 1
    if abs(number) > LARGEST:
        raise _malformed("The body holds a whole number of more than 63 bits.")
    return number


def _decimal(text: str) -> float:
    number = float(text)
    if number in (float("inf"), float("-inf")):
        raise _malformed("The body holds a number that is too large.")
    return number


def _constant(text: str) -> NoReturn:
    raise _malformed(f"{text} is no JSON number.")


def _object(pairs: list[tuple[str, Any]]) -> dict[str, Any]:
    found = dict(pairs)
    if len(found) != len(pairs):
        raise _malformed("An object in the body gives the same name twice.")
    return found


def _too_deep(data: Any) -> bool:
    """Whether objects and lists are nested deeper than allowed."""
    level = [data]
    for _ in range(DEEPEST):
        deeper: list[Any] = []
        for item in level:
            if isinstance(item, dict):
                deeper.extend(v for v in item.values() if isinstance(v, dict | list))
            elif isinstance(item, list):
                deeper.extend(v for v in item if isinstance(v, dict | list))
        if not deeper:
            return False
        level = deeper
    return True


class StrictJSONParser(BaseParser):
    """Parses application/json in UTF-8; raises Rejected 400 for anything else."""

    media_type = "application/json"
    renderer_class = JSONRenderer

    def parse(
        self,
        stream: IO[Any],
        media_type: str | None = None,
        parser_context: Mapping[str, Any] | None = None,
    ) -> Any:
        """The body as dicts, lists, strings and numbers."""
        try:
            text = stream.read().decode("utf-8")
            data = json.loads(
                text,
                object_pairs_hook=_object,
                parse_int=_whole,
                parse_float=_decimal,
                parse_constant=_constant,
            )
            if "\\u" in text:
                whole = json.dumps(data)
                json.dumps(data, ensure_ascii=False).encode("utf-8")
                if "\\u0000" in whole.replace("\\\\", ""):
                    raise _malformed(
                        "A text in the body holds the character NUL (U+0000); take it out."
                    )
        except UnicodeError:
            raise _malformed("The body is not valid UTF-8.") from None
        except RecursionError:
            raise _malformed(f"The body is nested deeper than {DEEPEST} levels.") from None
        except ValueError as error:
            raise _malformed(f"The body is no valid JSON: {error}.") from None
        if _too_deep(data):
            raise _malformed(f"The body is nested deeper than {DEEPEST} levels.")
        return data
