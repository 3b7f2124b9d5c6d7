"""The main requests of the desk and of practitioners, all together with a plain endpoint; and how
many bytes their answers have."""

from __future__ import annotations

import gzip
from collections.abc import Callable
from typing import Any, Final
from uuid import UUID, uuid4

from tests.bench.databases import Database, database
from tests.bench.measuring import Runs
from tests.bench.plan import Plan
from tests.bench.report import Bar
from tests.bench.serving import SYNC, ask, body_of, gunicorn, request, told_request, volley

ORDER: Final = (
    *("sessions of a day", "client search", "open times", "call list", "readings", "history"),
    *("plan", "arrival", "opening", "save", "signature", "a reading"),
)
ONCE: Final = ("arrival", "opening", "save", "signature")
VERSIONS: Final = {"save": '"0"', "signature": '"1"'}
"""If-Match of a draft's first save, and of its signature after it."""
BYTES: Final = ("sessions of a day", "plan", "open times", "history", "readings", "call list")
PLAIN: Final = "plain DRF endpoint"


def requests_of_the_day(plan: Plan) -> list[Bar]:
    """Each request beside the plain endpoint: p95 in times of its, on eight connections."""
    each = max(4, plan.size.each * 2 // 5)
    with database("requests") as own:
        told = own.build("working_day", each=each, rounds=plan.rounds + 1)
        plain = plain_request(own)
        with gunicorn(plan.folder, SYNC, url=own.url) as served:
            runs = {name: Runs() for name in (*ORDER, PLAIN)}
            for number in range(plan.rounds + 1):
                for name in ORDER:
                    _volley(served.port, told, name, number * each, each, runs[name], number > 0)
                _, times = volley(served.port, plain, 2 * each)
                if number:
                    runs[PLAIN].rounds.append(times)
            sizes = {name: _bytes(served.port, told, name) for name in BYTES}
    return [*(_beside_plain(name, runs) for name in ORDER), *_size_bars(sizes)]


def plain_request(own: Database) -> Callable[[int], bytes]:
    """The request of the plain endpoint of a number."""
    key = own.build("plain_token")
    body = (
        b'{"client_id": "%s", "movement": "shoulder_abduction", "side": "left", "motion": "active",'
        b' "degrees": 90, "position": "sitting", "instrument": "goniometer", "rater_id": "%s",'
        b' "pain": 1}'
    ) % ((str(UUID(int=1)).encode(),) * 2)
    sent = request("POST", "/plain/readings", body, Authorization=f"Token {key}")
    return lambda _: sent


def sent_of(told: Any, name: str, number: int) -> bytes:
    """The request of a name and a number; those that are done once have one for each number."""
    found = told["requests"][name]
    headers = {"Idempotency_Key": str(uuid4())} if name != "save" else {}
    if name in VERSIONS:
        headers["If_Match"] = VERSIONS[name]
    one = found[number] if name in ONCE else found[number % len(found)]
    if one["method"] == "GET":
        headers = {}
    return told_request(one, told["tokens"], **headers)


def _volley(
    port: int, told: Any, name: str, first: int, count: int, runs: Runs, kept: bool
) -> None:
    _, times = volley(port, lambda number: sent_of(told, name, first + number), count)
    if kept:
        runs.rounds.append(times)


def _beside_plain(name: str, runs: dict[str, Runs]) -> Bar:
    ours, theirs = runs[name], runs[PLAIN]
    mine, plain = ours.quantile(0.95), theirs.quantile(0.95)
    raw = {"ours": ours.as_json(), PLAIN: theirs.as_json()}
    return Bar(f"p95 of {name}", PLAIN, mine / plain, "x", None, mine * 1e3, plain * 1e3, raw)


def _bytes(port: int, told: Any, name: str) -> tuple[int, int]:
    """Bytes of the body as it is, and as it comes to whom takes gzip."""
    one = told["requests"][name][0]
    whole = body_of(ask(port, told_request(one, told["tokens"])))
    short = body_of(ask(port, told_request(one, told["tokens"], Accept_Encoding="gzip")))
    assert whole == short or gzip.decompress(short), name
    return len(whole), len(short)


def _size_bars(sizes: dict[str, tuple[int, int]]) -> list[Bar]:
    return [
        Bar(f"bytes of {name}{how}", "", float(size), "bytes")
        for name, both in sizes.items()
        for how, size in zip((", plain", ", gzip"), both, strict=True)
    ]
