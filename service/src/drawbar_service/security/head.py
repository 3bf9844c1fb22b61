"""How long the head of a request may be, which the parser leaves open."""

from typing import Final

from uvicorn.protocols.http.httptools_impl import HttpToolsProtocol

MOST_BYTES: Final = 65_536
"""Bytes of a head after the piece in which it begins; a piece is what the network hands on at once."""
_TOO_LONG: Final = b"HTTP/1.1 431 Request Header Fields Too Large\r\nconnection: close\r\ncontent-length: 0\r\n\r\n"


class BoundedHead(HttpToolsProtocol):
    """A connection on which the head of a request has to end."""

    _in_head = False
    _more_bytes = 0

    def data_received(self, data: bytes) -> None:
        """Hang up if the head goes on and on."""
        went_on = self._in_head
        super().data_received(data)
        self._more_bytes = self._more_bytes + len(data) if went_on and self._in_head else 0
        if self._more_bytes > MOST_BYTES and not self.transport.is_closing():
            self.transport.write(_TOO_LONG)
            self.transport.close()

    def on_message_begin(self) -> None:
        """Note that a head has begun."""
        self._in_head = True
        super().on_message_begin()

    def on_headers_complete(self) -> None:
        """Note that it has ended."""
        self._in_head = False
        super().on_headers_complete()
