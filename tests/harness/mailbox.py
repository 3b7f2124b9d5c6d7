"""A mail server of a test's own that can hold a message back before it takes it."""

from __future__ import annotations

import socketserver
import threading
import time
from typing import Any


class Mailbox(socketserver.ThreadingTCPServer):
    """Speaks enough SMTP (RFC 5321); ``taken`` are the messages that it has confirmed."""

    allow_reuse_address = True
    daemon_threads = True

    def __init__(self) -> None:
        super().__init__(("127.0.0.1", 0), Conversation)
        self.port = int(self.server_address[1])
        self.taken: list[str] = []
        self.greeted = self.left = 0
        """How many senders came, and how many said farewell."""
        self.refused = ""
        """An address that it takes nothing for."""
        self.patience: int | None = None
        """So many messages of one sender are taken; then it hangs up."""
        self.seconds = 0.0
        """How long it thinks about each message."""
        self.holding = threading.Event()
        """Set when a message stands before its confirmation."""
        self.let_go = threading.Event()
        """While this is not set, nothing is confirmed."""
        self.let_go.set()
        threading.Thread(target=self.serve_forever, daemon=True).start()

    def handle_error(self, *_: Any) -> None:
        """A sender that was killed is no news."""


class Conversation(socketserver.StreamRequestHandler):
    """One sender."""

    server: Mailbox

    def handle(self) -> None:
        """Greet, take what comes, confirm a message only when told to."""
        self.server.greeted += 1
        self.say("220 here")
        sent = 0
        while line := self.rfile.readline().decode(errors="replace").strip():
            verb = line.split(" ")[0].upper()
            if verb == "DATA":
                self.say("354 go on")
                self.message()
                sent += 1
                if sent == self.server.patience:
                    return
            elif self.server.refused and verb == "RCPT" and self.server.refused in line:
                self.say("550 nobody here")
            elif verb == "QUIT":
                self.server.left += 1
                self.say("221 bye")
                return
            else:
                self.say("250 ok")

    def message(self) -> None:
        """Read to the dot; confirm it, if its sender is still there then."""
        lines: list[str] = []
        while (line := self.rfile.readline().decode(errors="replace").rstrip("\r\n")) != ".":
            lines.append(line)
        self.server.holding.set()
        self.server.let_go.wait(60)
        time.sleep(self.server.seconds)
        self.connection.settimeout(0.2)
        try:
            gone = self.connection.recv(1) == b""
        except TimeoutError:
            gone = False
        if not gone:
            self.server.taken.append("\n".join(lines))
            self.say("250 taken")

    def say(self, text: str) -> None:
        """One answer."""
        self.wfile.write(f"{text}\r\n".encode())
