"""Start the service as its container would be started, and see that it answers: `shut_in.py <python>`, as root.

To be run in mount and network namespaces of its own, by test_shut_in.py. No container engine is needed: everything is
remounted to be read only, the only network is a loopback, and the service has no capabilities and may make no memory
executable. It runs as the image's user where that user can read this Python. Says what went wrong by failing.
"""

import ctypes
import errno
import http.client
import os
import signal
import socket
import subprocess
import sys
import time
from pathlib import Path

PORT = 8000
USER = 10001
PATIENCE = 30.0
PR_SET_MDWE, REFUSE_EXEC_GAIN = 65, 1


def make_read_only() -> None:
    kept = ("/proc", "/sys", "/dev")
    mounts = [line.split()[4] for line in Path("/proc/self/mountinfo").read_text("utf-8").splitlines()]
    for mount in mounts:
        if not mount.startswith(kept) or mount == "/dev/shm":
            subprocess.run(["mount", "-o", "remount,bind,ro", mount], check=True)


def nothing_can_be_written() -> None:
    for folder in (Path.cwd(), Path("/"), Path("/tmp"), Path("/var/tmp"), Path("/dev/shm"), Path(__file__).parent):
        if folder.is_dir():
            try:
                (folder / "drawbar-was-here").touch()
            except OSError as fault:
                if fault.errno != errno.EROFS:
                    raise
            else:
                raise SystemExit(f"{folder} can be written to")


def nobody_can_be_reached() -> None:
    with socket.socket() as probe:
        probe.settimeout(1.0)
        try:
            probe.connect(("192.0.2.1", 80))
        except OSError as fault:
            if fault.errno != errno.ENETUNREACH:
                raise
        else:
            raise SystemExit("there is a network")


def refuse_executable_memory() -> None:
    # Kernels before 6.3 do not know this; systemd then filters system calls instead.
    ctypes.CDLL(None, use_errno=True).prctl(PR_SET_MDWE, REFUSE_EXEC_GAIN, 0, 0, 0)


def without_rights(python: str) -> list[str]:
    """Return the command that starts a program with no capabilities, as the image's user if he can read it."""
    command = ["setpriv", "--no-new-privs", "--inh-caps=-all", "--bounding-set=-all"]
    as_user = [*command, f"--reuid={USER}", f"--regid={USER}", "--clear-groups"]
    readable = subprocess.run([*as_user, python, "-c", "import drawbar_service"], capture_output=True, check=False)
    return command if readable.returncode else as_user


def ask(method: str, path: str, body: bytes | None = None) -> tuple[int, bytes]:
    connection = http.client.HTTPConnection("127.0.0.1", PORT, timeout=PATIENCE)
    connection.request(method, path, body, {"Content-Type": "application/json"})
    response = connection.getresponse()
    return response.status, response.read()


def wait_until_ready(process: "subprocess.Popen[str]") -> None:
    deadline = time.monotonic() + PATIENCE
    while time.monotonic() < deadline:
        if process.poll() is not None:
            raise SystemExit(f"it ended with {process.returncode}: {process.communicate()}")
        try:
            if ask("GET", "/readyz")[0] == 200:
                return
        except ConnectionRefusedError:
            time.sleep(0.05)
    raise SystemExit("it is not ready in time")


def expect(what: object, wanted: object, told: str) -> None:
    if what != wanted:
        raise SystemExit(f"{told}: {what!r}, not {wanted!r}")


def main(python: str, requests: Path) -> None:
    asked = {path.stem: path.read_bytes() for path in requests.glob("*.json")}
    subprocess.run(["ip", "link", "set", "lo", "up"], check=True)
    make_read_only()
    nothing_can_be_written()
    nobody_can_be_reached()
    known = ("PATH", "LANG", "PYTHONPATH")
    process = subprocess.Popen(
        [*without_rights(python), python, "-m", "drawbar_service"],
        env={name: os.environ[name] for name in known if name in os.environ}
        | {"DRAWBAR_HOST": "0.0.0.0", "DRAWBAR_DRAIN_SECONDS": "1", "PYTHONDONTWRITEBYTECODE": "1"},
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
        umask=0o077,
        preexec_fn=refuse_executable_memory,
    )
    try:
        wait_until_ready(process)
        for name, body in asked.items():
            status, answer = ask("POST", f"/v1/{name}", body)
            expect(status, 200, f"{name}, answered with {answer[:300]!r}")
        for path in ("/docs", "/openapi/drawbar-v1.json", "/livez", "/v1/sources"):
            expect(ask("GET", path)[0], 200, path)
        process.send_signal(signal.SIGTERM)
        _, errors = process.communicate(timeout=PATIENCE)
        expect(process.returncode, 0, f"its exit code, with {errors}")
        expect("Traceback" in errors, False, f"a traceback in {errors}")
    except SystemExit as told:
        process.kill()
        raise SystemExit(f"{told}; its log: {process.communicate()[1][-9000:]}") from None
    finally:
        process.kill()


if __name__ == "__main__":
    main(sys.argv[1], Path(sys.argv[2]))
