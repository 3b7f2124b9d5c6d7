"""A mixed load of several callers over HTTP, as a process of its own.

``python -m tests.harness.load``: what to do comes as JSON on stdin; every acknowledged
write goes out as a line of JSON, at once. A caller whose connection breaks sends the same
request with the same Idempotency-Key until it is answered, as a good client does.
"""

from __future__ import annotations

import http.client
import json
import random
import signal
import sys
import threading
import time
from collections.abc import Mapping
from datetime import UTC, datetime, timedelta
from typing import Any
from uuid import UUID

from practice.demo.callers import DemoResponse, DemoUser, HttpCaller, sign_in_demo_user

PATIENCE_SECONDS = 30
BROKEN = (OSError, http.client.HTTPException)


class Caller(threading.Thread):
    """One front desk and one practitioner who bring clients through, over and over."""

    def __init__(self, number: int, told: Mapping[str, Any], stop: threading.Event) -> None:
        super().__init__(daemon=True)
        self.told, self.stop = told, stop
        self.random = random.Random(told["seed"] * 1_000 + number)
        self.http = HttpCaller(told["address"])
        self.desk, self.paula = (
            DemoUser(self.http, role, told["tokens"][role])
            for role in ("front_desk", "practitioner")
        )

    def run(self) -> None:
        """Until told to stop."""
        while not self.stop.is_set():
            try:
                self.one_client()
            except Enough:
                return
            except Unanswered as why:
                say("unanswered", str(why))

    def one_client(self) -> None:
        """Sign in, register, consent, authorize, measure, book, write and sign."""
        client = self.registered()
        path = f"/clients/{client}"
        self.sent(self.desk, f"{path}/touch-consent", self.told["consent"], "consented", client)
        self.sent(self.desk, f"{path}/authorizations", self.told["authorization"], "authorized")
        for _ in range(2):
            degrees = self.random.randint(90, 170)
            self.sent(
                self.paula,
                f"{path}/range-of-motion",
                self.told["reading"] | {"degrees": degrees},
                "measured",
            )
        for _ in range(2):
            self.sent(self.desk, "/sessions", self.slot(client), "booked")
        for day in (1, 2, 3):
            self.signed(client, day)

    def registered(self) -> str:
        """A new client, after signing in again every few times."""
        if self.random.random() < 0.2:
            self.desk = self.again(
                lambda: sign_in_demo_user(self.http, "front_desk", "desk", self.told["password"])
            )
        names = {"given_name": "Load", "family_name": f"Test {self.random.random()}"}
        answer = self.sent(self.desk, "/clients", names, "registered")
        return str(answer["id"])

    def slot(self, client: str) -> dict[str, Any]:
        """One of few times, so that callers want the same practitioner and room."""
        start = datetime.fromisoformat(self.told["first_slot"])
        start += timedelta(hours=self.random.randrange(8), days=self.random.randrange(3))
        return self.told["booking"] | {"client_id": client, "starts_at": start.isoformat()}

    def signed(self, client: str, day: int) -> None:
        """A session of a week that is past, its note and its signature. Spread over five days:
        the practitioner's minutes that overlap with another client's draw nothing."""
        start = datetime.now(UTC) - timedelta(days=5 * day, minutes=self.random.randrange(7_000))
        late = {"attendance": "attended", "starts_at": start.isoformat(), "client_id": client}
        session = self.sent(self.desk, "/sessions", self.told["booking"] | late, "booked")
        if session.status != 201:
            return
        note = f"/sessions/{session['id']}/note"
        draft = self.again(lambda: self.paula.send("PATCH", note, self.told["note"], match=0))
        if draft.status == 200:
            self.sent(
                self.paula, f"{note}/signature", {}, "signed", session["id"], draft["revision"]
            )

    def sent(
        self,
        who: DemoUser,
        path: str,
        body: Any,
        what: str,
        named: str | None = None,
        match: int | None = None,
    ) -> DemoResponse:
        """One POST under one key until it is answered; an acknowledged one is written down."""
        if self.stop.is_set():
            raise Enough
        key = str(UUID(int=self.random.getrandbits(128), version=4))
        answer = self.again(lambda: who.send("POST", path, body, match=match, key=key))
        if 200 <= answer.status < 300:
            body = answer.body
            say(what, named or body.get("id") or body["reading"]["id"])
        elif answer.status >= 500 and answer.status != 503:
            say("broken", f"{path}: {answer.status} {answer.body}")
        else:
            say("refused", f"{path}: {answer.status} {answer.body}"[:500])
        return answer

    def again(self, act: Any) -> Any:
        """Try until there is an answer that is no 503; give up when it takes too long."""
        end = time.monotonic() + PATIENCE_SECONDS
        while time.monotonic() < end:
            try:
                answer = act()
            except BROKEN:
                answer = None
            if answer is not None and getattr(answer, "status", 200) == 503:
                say("unavailable", str(answer.body.get("code")))
            if answer is not None and getattr(answer, "status", 200) != 503:
                return answer
            time.sleep(0.1)
        raise Unanswered("no answer in time")


class Enough(Exception):
    """Told to stop: nothing new is begun."""


class Unanswered(Exception):
    """The server stayed away too long."""


_out = threading.Lock()


def say(what: str, named: str) -> None:
    """One line for one answer, at once: this process may be the next to end."""
    with _out:
        print(json.dumps([what, named]), flush=True)


def main() -> None:
    """Run callers until SIGTERM; what they are at is finished."""
    stop = threading.Event()
    signal.signal(signal.SIGTERM, lambda *_: stop.set())
    told = json.load(sys.stdin)
    callers = [Caller(number, told, stop) for number in range(told["callers"])]
    for caller in callers:
        caller.start()
    stop.wait()
    for caller in callers:
        caller.join(PATIENCE_SECONDS)


if __name__ == "__main__":
    main()
