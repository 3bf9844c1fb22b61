"""How long the head of a request may be, which the parser leaves open."""

from typing import Final

from uvicorn.protocols.http.httptools_impl import HttpToolsProtocol

MOST_BYTES: Final = 65_536
"""Bytes of a head."""
_PIECE: Final = 262_144
"""Most that the network hands on at once [bytes]."""
_TOO_LONG: Final = b"HTTP/1.1 431 Request Header Fields Too Large\r\nconnection: close\r\ncontent-length: 0\r\n\r\n"


class BoundedHead(HttpToolsProtocol):
    """A connection on which the head of a request has to end."""

    _in_head = False
    _bytes = 0

    def data_received(self, data: bytes) -> None:
        """Hang up if the head goes on and on."""
        if self.transport.is_closing():
            return
        # A piece in which a head begins may hold the end of a body, too; no head is shorter for it.
        self._bytes += len(data)
        super().data_received(data)
        if not self._in_head:
            self._bytes = 0
        elif self._bytes > MOST_BYTES + _PIECE:
            self._refuse()

    def on_message_begin(self) -> None:
        """Note that a head has begun."""
        self._in_head = True
        super().on_message_begin()

    def on_headers_complete(self) -> None:
        """Note that it has ended."""
        self._in_head = False
        if len(self.url) + sum(len(name) + len(value) for name, value in self.headers) > MOST_BYTES:
            self._refuse()
        else:
            super().on_headers_complete()

    def on_body(self, body: bytes) -> None:
        """Take in a body, unless its head was refused."""
        if not self.transport.is_closing():
            super().on_body(body)

    def on_message_complete(self) -> None:
        """End a request, unless its head was refused."""
        if not self.transport.is_closing():
            super().on_message_complete()

    def _refuse(self) -> None:
        if not self.transport.is_closing():
            self.transport.write(_TOO_LONG)
            self.transport.close()
