"""The way between a phone and the server, which can be cut: no signal, for every engine alike."""

import socket
import threading
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from urllib.parse import urlparse

CHUNK = 65_536


class Relay:
    """Passes bytes on to the server while there is signal; without it, nobody answers at its address."""

    def __init__(self, server: str) -> None:
        there = urlparse(server)
        self._server = (there.hostname or "127.0.0.1", there.port or 80)
        self._lock = threading.Lock()
        self._open: set[socket.socket] = set()
        self._listener: socket.socket | None = None
        self._port = 0
        self.find_signal()

    @property
    def address(self) -> str:
        return f"http://127.0.0.1:{self._port}"

    def find_signal(self) -> None:
        listener = socket.create_server(("127.0.0.1", self._port))
        self._port, self._listener = listener.getsockname()[1], listener
        threading.Thread(target=self._accept, args=(listener,), daemon=True).start()

    def lose_signal(self) -> None:
        """Nobody listens any more, and what was open breaks off."""
        if self._listener is not None:
            with suppress(OSError):
                self._listener.shutdown(socket.SHUT_RDWR)  # wakes the thread that waits for callers
            self._listener.close()
            self._listener = None
        with self._lock:
            broken, self._open = self._open, set()
        for one in broken:
            with suppress(OSError):
                one.shutdown(socket.SHUT_RDWR)

    def _accept(self, listener: socket.socket) -> None:
        while True:
            try:
                phone, _ = listener.accept()
            except OSError:
                return  # the signal is gone
            threading.Thread(target=self._serve, args=(phone,), daemon=True).start()

    def _serve(self, phone: socket.socket) -> None:
        with phone, suppress(OSError), socket.create_connection(self._server) as server:
            with self._lock:
                self._open |= {phone, server}
            back = threading.Thread(target=_pass_on, args=(server, phone), daemon=True)
            back.start()
            _pass_on(phone, server)
            back.join()
            with self._lock:
                self._open -= {phone, server}


def _pass_on(source: socket.socket, target: socket.socket) -> None:
    with suppress(OSError):
        while chunk := source.recv(CHUNK):
            target.sendall(chunk)
        target.shutdown(socket.SHUT_WR)


@contextmanager
def relay_to(server: str) -> Iterator[Relay]:
    relay = Relay(server)
    try:
        yield relay
    finally:
        relay.lose_signal()
