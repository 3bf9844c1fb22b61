"""Start the service: ``python -m drawbar_service``."""

import sys

import uvicorn

from drawbar_service.settings import BadSettings, read_settings


def main() -> int:
    """Serve until stopped; return an exit code."""
    try:
        settings = read_settings()
    except BadSettings as error:
        sys.stderr.write(f"{error}\n")
        return 2
    uvicorn.run(
        "drawbar_service.app:create_app",
        factory=True,
        host=settings.host,
        port=settings.port,
        access_log=False,
        server_header=False,
        timeout_graceful_shutdown=20,
    )
    return 0


if __name__ == "__main__":
    sys.exit(main())
