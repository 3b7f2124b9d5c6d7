"""A door before a server: open, closed (connections are refused and those there are cut)."""

from __future__ import annotations

import contextlib
import socket
import threading


class Gate:
    """Passes bytes on between its own port and another while it is open."""

    def __init__(self, port: int) -> None:
        self.behind = port
        self.listener: socket.socket | None = None
        self.port = 0
        self.pairs: list[tuple[socket.socket, socket.socket]] = []
        self.open()

    def open(self) -> None:
        """Take connections, on the same port as before."""
        self.listener = socket.create_server(("127.0.0.1", self.port))
        self.port = self.listener.getsockname()[1]
        threading.Thread(target=self._accept, args=(self.listener,), daemon=True).start()

    def close(self) -> None:
        """Refuse new connections and cut those there are."""
        if self.listener is not None:
            with contextlib.suppress(OSError):
                self.listener.shutdown(socket.SHUT_RDWR)
            self.listener.close()
        self.listener = None
        for pair in self.pairs:
            for end in pair:
                _end(end)
        self.pairs = []

    def _accept(self, listener: socket.socket) -> None:
        with contextlib.suppress(OSError):
            while True:
                near, _ = listener.accept()
                far = socket.create_connection(("127.0.0.1", self.behind))
                self.pairs.append((near, far))
                for one, other in ((near, far), (far, near)):
                    threading.Thread(target=_pass, args=(one, other), daemon=True).start()


def _pass(source: socket.socket, target: socket.socket) -> None:
    with contextlib.suppress(OSError):
        while data := source.recv(65_536):
            target.sendall(data)
    _end(source)
    _end(target)


def _end(one: socket.socket) -> None:
    with contextlib.suppress(OSError):
        one.shutdown(socket.SHUT_RDWR)
    one.close()
