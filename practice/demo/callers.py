"""Two ways to the API for the demo: over HTTP, and inside the process at an earlier time."""

from __future__ import annotations

import http.client
import json
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Any, Protocol
from urllib.parse import urlsplit
from uuid import uuid4

PREFIX = "/api/v1"


@dataclass(frozen=True)
class DemoResponse:
    """An answer of the API: status, headers by lower-case name, body as JSON or text."""

    status: int
    headers: Mapping[str, str]
    body: Any
    asked: str = ""

    def __getitem__(self, name: Any) -> Any:
        return self.body[name]


class DemoCaller(Protocol):
    """Sends one request and gives the answer."""

    def send(
        self, method: str, path: str, body: Any = None, headers: Mapping[str, str] | None = None
    ) -> DemoResponse:
        """``path`` is below /api/v1, e.g. ``/clients``; ``body`` goes out as JSON."""


class HttpCaller:
    """Over a real connection to a running server."""

    def __init__(self, address: str) -> None:
        where = urlsplit(address)
        self._host, self._port = where.hostname or "127.0.0.1", where.port or 80

    def send(
        self, method: str, path: str, body: Any = None, headers: Mapping[str, str] | None = None
    ) -> DemoResponse:
        """One request on a connection of its own."""
        connection = http.client.HTTPConnection(self._host, self._port, timeout=60)
        try:
            sent = {"Content-Type": "application/json", **(headers or {})}
            payload = json.dumps(body).encode() if body is not None else None
            connection.request(method, PREFIX + path, body=payload, headers=sent)
            got = connection.getresponse()
            return parse_response(
                got.status, {name.lower(): value for name, value in got.getheaders()}, got.read()
            )
        finally:
            connection.close()


class InProcessCaller:
    """Inside this process, at an instant: how the demo's history is played."""

    def __init__(self) -> None:
        from django.test import Client

        self._client = Client(SERVER_NAME="localhost")
        self.instant: datetime | None = None

    def send(
        self, method: str, path: str, body: Any = None, headers: Mapping[str, str] | None = None
    ) -> DemoResponse:
        """One request through every layer, with the clock held at ``instant``."""
        from practice.clock import clock

        if self.instant is None:
            return self._send(method, path, body, headers)
        with clock.at(self.instant):
            return self._send(method, path, body, headers)

    def _send(
        self, method: str, path: str, body: Any, headers: Mapping[str, str] | None
    ) -> DemoResponse:
        got = self._client.generic(
            method,
            PREFIX + path,
            data=json.dumps(body) if body is not None else "",
            content_type="application/json",
            headers=dict(headers or {}),
        )
        return parse_response(
            got.status_code,
            {name.lower(): value for name, value in got.headers.items()},
            got.getvalue(),
        )


def parse_response(status: int, headers: Mapping[str, str], content: bytes) -> DemoResponse:
    """JSON where the answer says so, text otherwise."""
    if "json" in headers.get("content-type", "") and content:
        return DemoResponse(status, headers, json.loads(content))
    return DemoResponse(status, headers, content.decode())


class DemoUser:
    """A member of staff who has signed in; their token is sent with each request.

    An empty token is that of somebody who has not signed in.
    """

    def __init__(self, caller: DemoCaller, role: str, token: str) -> None:
        self.caller, self.role, self.token = caller, role, token

    def send(
        self,
        method: str,
        path: str,
        body: Any = None,
        *,
        match: int | str | None = None,
        key: str | None = None,
    ) -> DemoResponse:
        """One request; ``match`` becomes If-Match; ``key`` "new" a new Idempotency-Key."""
        headers = {"Authorization": f"Bearer {self.token}"} if self.token else {}
        if match is not None:
            headers["If-Match"] = match if isinstance(match, str) else f'"{match}"'
        if key is not None:
            headers["Idempotency-Key"] = str(uuid4()) if key == "new" else key
        return replace(self.caller.send(method, path, body, headers), asked=f"{method} {path}")


def sign_in_demo_user(caller: DemoCaller, role: str, username: str, password: str) -> DemoUser:
    """A person with a fresh token. Raises RuntimeError where sign-in is refused."""
    answer = caller.send("POST", "/auth/tokens", {"username": username, "password": password})
    if answer.status != 201:
        raise RuntimeError(f"{username} cannot sign in: {answer.status} {answer.body}")
    return DemoUser(caller, role, answer["token"])
