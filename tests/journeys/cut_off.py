"""The way to the server, which can be cut: a plain forwarder whose port goes dead, as if the server had been stopped."""

import contextlib
import socket
import threading


class Way:
    """`http://localhost:<port>` leads to `target` while it is open; closed, a connection is refused."""

    def __init__(self, host: str, port: int) -> None:
        self._target = (host, port)
        self._held: list[socket.socket] = []
        with socket.socket() as found:
            found.bind(("127.0.0.1", 0))
            self.port = found.getsockname()[1]
        self._door: socket.socket | None = None

    @property
    def address(self) -> str:
        return f"http://localhost:{self.port}"

    def open(self) -> None:
        self._door = socket.create_server(("127.0.0.1", self.port), backlog=64)
        threading.Thread(target=self._let_in, args=(self._door,), daemon=True).start()

    def cut(self) -> None:
        for one in (self._door, *self._held):
            if one:
                with contextlib.suppress(OSError):
                    one.shutdown(socket.SHUT_RDWR)
                one.close()
        self._held.clear()

    def _let_in(self, door: socket.socket) -> None:
        with contextlib.suppress(OSError):
            while True:
                inside, _ = door.accept()
                onward = socket.create_connection(self._target)
                self._held += [inside, onward]
                for source, sink in ((inside, onward), (onward, inside)):
                    threading.Thread(target=_carry, args=(source, sink), daemon=True).start()


def _carry(source: socket.socket, sink: socket.socket) -> None:
    with contextlib.suppress(OSError):
        while data := source.recv(65536):
            sink.sendall(data)
    for one in (source, sink):
        with contextlib.suppress(OSError):
            one.shutdown(socket.SHUT_RDWR)
