"""Bar 3: a reading sent over HTTP with everything on, beside a plain endpoint."""

from __future__ import annotations

import json
from statistics import median
from uuid import UUID, uuid4

from rest_framework.authtoken.models import Token

from practice.core.terms import Role
from practice.work.unit_of_work import unit_of_work
from sessions.measurements.domain.events import ReadingRecorded
from sessions.measurements.domain.state import MEASUREMENTS
from tests.bench.measuring import Runs
from tests.bench.plan import Plan
from tests.bench.report import Bar
from tests.bench.serving import gunicorn, request, volley
from tests.bench.statements import counted
from tests.builders import Built, build_practice, token_for
from tests.harness.furnishing import READING
from tests.sessions.people import open_client

OTHER_MOVEMENTS = ("shoulder_flexion", "neck_rotation", "shoulder_extension", "shoulder_abduction")


def lengthen(built: Built, client_id: UUID, wanted: int) -> None:
    """Bring a client's stream to a length with readings of several movements."""
    paula = built.staff[Role.PRACTITIONER].practitioner_id
    assert paula is not None
    with unit_of_work(actor=built.actor(Role.PRACTITIONER), request_id="bench") as work:
        work.lock(client_id)
        events = [
            ReadingRecorded(
                reading_id=uuid4(),
                rater_id=paula,
                **READING | {"movement": OTHER_MOVEMENTS[number % 4], "degrees": 90 + number % 60},
            )
            for number in range(wanted - work.version(client_id))
        ]
        work.execute(client_id, (MEASUREMENTS,), lambda states, context: events)


def reading_over_http(plan: Plan) -> list[Bar]:
    """Readings of 200 clients in turn, alternating with rows of the plain endpoint."""
    size = plan.size
    each = 4 * size.each
    built = build_practice()
    clients = [open_client(built) for _ in range(size.streams)]
    for client_id in clients:
        lengthen(built, client_id, size.length)
    staff = built.staff[Role.PRACTITIONER]
    ours_key = f"Bearer {token_for(staff)}"
    plain_key = f"Token {Token.objects.create(user=staff).key}"
    paula = str(staff.practitioner_id)

    def ours(number: int) -> bytes:
        body = json.dumps(READING | {"degrees": 90 + number % 60}).encode()
        path = f"/api/v1/clients/{clients[number % len(clients)]}/range-of-motion"
        return request("POST", path, body, Authorization=ours_key, Idempotency_Key=str(uuid4()))

    def plain(number: int) -> bytes:
        row = READING | {"degrees": 90, "client_id": str(clients[0]), "rater_id": paula, "pain": 1}
        return request("POST", "/plain/readings", json.dumps(row).encode(), Authorization=plain_key)

    seconds: dict[str, list[float]] = {"ours": [], "plain": []}
    runs = {"ours": Runs(), "plain DRF endpoint": Runs()}
    with gunicorn(plan.folder) as served:
        for number in range(plan.rounds + 1):
            for name, make in (("ours", ours), ("plain DRF endpoint", plain)):
                took, times = volley(served.port, make, each)
                if number:
                    runs[name].rounds.append(times)
                    seconds[name.split()[0]].append(took)
    what = f"3 POST of a reading over HTTP, stream of {size.length}"
    pairs = zip(seconds["ours"], seconds["plain"], strict=True)
    throughput = median(theirs / mine for mine, theirs in pairs)
    bar = Bar.of(f"{what}, requests/s", "plain DRF endpoint", runs, wanted=0.6)
    bar.value = throughput
    p95 = runs["ours"].quantile(0.95) / runs["plain DRF endpoint"].quantile(0.95)
    return [
        bar,
        Bar(f"{what}, p95 (at most)", "plain DRF endpoint", p95, "x", 2.0),
        Bar(f"{what}, statements (at most)", "", counted(built, clients[0]), "", 10),
    ]
