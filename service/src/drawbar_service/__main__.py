"""Start the service: ``python -m drawbar_service``."""

import argparse
import contextlib
import ipaddress
import logging
import os
import signal
import sys
from types import FrameType

import msgspec

from drawbar_service.observability import check_extras, configure_logging
from drawbar_service.security.access import access_of
from drawbar_service.security.keys import command
from drawbar_service.settings import BadSettings, Settings, read_settings, retired_settings

log = logging.getLogger("drawbar_service")


def main() -> int:
    """Serve until stopped, or make a key; return an exit code."""
    if sys.argv[1:2] == ["key"]:
        return command(sys.argv[2:])
    parser = argparse.ArgumentParser(
        prog="drawbar_service",
        description="Serve until stopped. Settings are environment variables: "
        + ", ".join(f"DRAWBAR_{field.name.upper()}" for field in msgspec.structs.fields(Settings))
        + ".",
        epilog="To make an API key: python -m drawbar_service key new --help",
    )
    parser.add_argument("--host", help="address to listen on (127.0.0.1)")
    parser.add_argument("--port", help="port to listen on (8000)")
    given = {f"DRAWBAR_{name.upper()}": value for name, value in vars(parser.parse_args()).items() if value is not None}
    try:
        settings = read_settings({**os.environ, **given})
        check_extras(settings)
        access_of(settings)  # here, where it can be said in a sentence what is wrong
    except BadSettings as error:
        sys.stderr.write(f"{error}\n")
        return 2
    # Help and bad settings do not wait for the application to load.
    from drawbar_service.app import create_app, warm_up  # noqa: PLC0415
    from drawbar_service.serving import Server  # noqa: PLC0415
    from drawbar_service.workers import Workers  # noqa: PLC0415

    # Once it has stopped, uvicorn raises the signal again; unhandled, that would be an exit code of -15.
    signal.signal(signal.SIGTERM, _stopped)
    configure_logging(settings)
    for sentence in retired_settings():
        log.warning("%s", sentence)
    if not (settings.api_keys or settings.jwks or _only_here(settings.host)):
        log.warning(
            "listening on %s without keys: whoever reaches it can call; set DRAWBAR_API_KEYS or DRAWBAR_JWKS, or keep "
            "others away",
            settings.host,
        )
    # While a batch runs, the event loop asks for its turn; by default a thread gives it up after 5 ms.
    sys.setswitchinterval(0.001)
    workers = None if settings.processes == 0 else Workers()
    server = Server(create_app(settings, workers), settings, once_up=warm_up)
    # Ctrl-C is how a person stops it; uvicorn raises it again once it has stopped.
    with contextlib.suppress(KeyboardInterrupt):
        server.run()
    return 0


def _only_here(host: str) -> bool:
    """Return whether an address to listen on can be reached from this machine alone."""
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return host == "localhost"


def _stopped(signum: int, frame: FrameType | None) -> None:
    sys.exit(0)


if __name__ == "__main__":
    sys.exit(main())
