"""The in-process service, shown with a small ASGI app of our own: no network and no service package needed."""

import asyncio
import contextvars
import gc
import gzip
import json
import logging
import subprocess
import sys
import textwrap
import threading
import time
import types
from concurrent.futures import ThreadPoolExecutor

import msgspec
import pytest

import drawbar
from drawbar._in_process import InProcessTransport
from drawbar._wire import Operation

FARM = contextvars.ContextVar("farm", default="nobody's")


class Echo(msgspec.Struct):
    thread: str
    starts: int = 0
    body: str = ""
    farm: str = ""


def at(path):
    return Operation("POST", path, Echo)


ONCE = drawbar.RetryPolicy(attempts=1)


class App:
    """Answers with what it saw; `events` keeps the order of what happened."""

    def __init__(self, *, refuse_start=False, refuse_stop=False):
        self.events = []
        self.entered = threading.Event()
        self._refuse_start = refuse_start
        self._refuse_stop = refuse_stop

    async def __call__(self, scope, receive, send):
        if scope["type"] == "lifespan":
            await self._lifespan(receive, send)
        else:
            await getattr(self, scope["path"].strip("/"))(receive, send)

    async def _lifespan(self, receive, send):
        assert (await receive())["type"] == "lifespan.startup"
        if self._refuse_start:
            await send({"type": "lifespan.startup.failed", "message": "no tables"})
            return
        self.events.append("start")
        await send({"type": "lifespan.startup.complete"})
        assert (await receive())["type"] == "lifespan.shutdown"
        self.events.append("stop")
        if self._refuse_stop:
            raise RuntimeError("stuck valve")
        await send({"type": "lifespan.shutdown.complete"})

    async def echo(self, receive, send):
        body = (await receive())["body"].decode()
        seen = Echo(threading.current_thread().name, self.events.count("start"), body, FARM.get())
        await send({"type": "http.response.start", "status": 200, "headers": [(b"content-encoding", b"gzip")]})
        packed = gzip.compress(msgspec.json.encode(seen))
        await send({"type": "http.response.body", "body": packed[:7], "more_body": True})
        await send({"type": "http.response.body", "body": packed[7:]})

    async def slow(self, receive, send):
        self.entered.set()
        try:
            await asyncio.sleep(30)
        except asyncio.CancelledError:
            self.events.append("cancelled")
            raise

    async def crash(self, receive, send):
        raise ZeroDivisionError("in the app")

    async def crash_late(self, receive, send):
        await self.echo(receive, send)
        raise ZeroDivisionError("after the answer")

    async def half(self, receive, send):
        await send({"type": "http.response.start", "status": 200, "headers": []})
        await send({"type": "http.response.body", "body": b'{"thread": "', "more_body": True})
        raise ZeroDivisionError("in the middle")

    async def mute(self, receive, send):
        await receive()


@pytest.fixture(params=["sync", "async", "sync in a running loop"])
def call(request):
    """Make an in-process client for an app, call an operation, close: the same for all ways to do so."""

    def run_sync(app, operation, **settings):
        with drawbar.Client.in_process(app, **{"retry": ONCE} | settings) as client:
            return client._call(operation, {"draft": 1})

    async def run_in_loop(app, operation, **settings):
        return run_sync(app, operation, **settings)

    async def run_async(app, operation, **settings):
        async with drawbar.AsyncClient.in_process(app, **{"retry": ONCE} | settings) as client:
            return await client._call(operation, {"draft": 1})

    if request.param == "sync":
        return run_sync
    run = run_async if request.param == "async" else run_in_loop
    return lambda *given, **settings: asyncio.run(run(*given, **settings))


@pytest.fixture(autouse=True)
def _no_thread_is_left():
    yield
    gc.collect()
    left = [thread for thread in threading.enumerate() if thread.name == "drawbar-in-process"]
    for thread in left:
        thread.join(5)
    assert not any(thread.is_alive() for thread in left)


def test_the_app_answers_between_its_startup_and_its_shutdown(call):
    app = App()
    answer = call(app, at("/echo"))
    assert answer == Echo("drawbar-in-process", starts=1, body='{"draft":1}', farm="nobody's")
    assert app.events == ["start", "stop"]


def test_context_variables_reach_the_app(call):
    token = FARM.set("north")
    try:
        assert call(App(), at("/echo")).farm == "north"
    finally:
        FARM.reset(token)


def test_settings_hold_in_process_too(call):
    infos = []
    call(App(), at("/echo"), on_response=infos.append)
    assert [info.status for info in infos] == [200]
    app = App()
    with pytest.raises(drawbar.BadSetting) as caught:
        call(app, at("/echo"), timeout=-1)
    # Not just when the traceback, which holds the transport, is collected.
    assert caught.value.__traceback__ is not None
    assert app.events == ["start", "stop"]


def test_an_app_that_raises_is_a_server_fault_and_logged(call, caplog):
    with pytest.raises(drawbar.ServerFault, match="500 Server fault"):
        call(App(), at("/crash"))
    (record,) = [record for record in caplog.records if record.levelno == logging.ERROR]
    assert record.getMessage() == "the in-process app failed at POST /crash"
    assert "ZeroDivisionError: in the app" in caplog.text


def test_an_app_that_raises_after_its_answer_has_answered(call, caplog):
    assert call(App(), at("/crash_late")).starts == 1
    assert "after the answer" in caplog.text


@pytest.mark.parametrize("path", ["/half", "/mute"])
def test_half_an_answer_is_a_failed_connection(call, path):
    with pytest.raises(drawbar.ConnectionFailed, match="ended before its answer did"):
        call(App(), at(path))


def test_an_answer_that_takes_too_long_is_given_up_and_cancelled(call):
    app = App()
    begun = time.monotonic()
    with pytest.raises(drawbar.TimedOut, match=r"not done within 0\.2 s"):
        call(app, at("/slow"), timeout=0.2)
    assert time.monotonic() - begun < 2.0
    assert app.events == ["start", "cancelled", "stop"]


def test_a_request_that_is_given_up_is_cancelled_at_once_and_not_only_at_the_end():
    app = App()
    with drawbar.Client.in_process(app, timeout=0.1, retry=ONCE) as client:
        with pytest.raises(drawbar.TimedOut):
            client._call(at("/slow"))
        assert client.with_options(timeout=5)._call(at("/echo")).starts == 1
        assert app.events == ["start", "cancelled"]


def test_an_app_that_cannot_start_says_why(call):
    with pytest.raises(drawbar.DrawbarError, match="did not start: no tables"):
        call(App(refuse_start=True), at("/echo"))


def test_an_app_that_does_not_start_in_time_is_given_up(call, monkeypatch):
    monkeypatch.setattr("drawbar._in_process._PATIENCE", 0.1)

    async def endless(scope, receive, send):
        await asyncio.sleep(30)

    with pytest.raises(drawbar.DrawbarError, match=r"did not start within 0\.1 s"):
        call(endless, at("/echo"))


def test_an_app_that_cannot_stop_says_why(call):
    with pytest.raises(drawbar.DrawbarError, match=r"did not shut down.*stuck valve"):
        call(App(refuse_stop=True), at("/echo"))


def test_an_app_that_blocks_its_own_thread_is_not_waited_for_without_end(monkeypatch):
    let_go = threading.Event()

    async def blocking(scope, receive, send):
        assert scope["type"] == "http"
        let_go.wait(20)

    client = drawbar.Client.in_process(blocking, timeout=0.1, retry=ONCE)
    with pytest.raises(drawbar.TimedOut):
        client._call(at("/echo"))
    monkeypatch.setattr("drawbar._in_process._PATIENCE", 0.1)
    with pytest.raises(drawbar.DrawbarError, match=r"did not stop within 0\.1 s"):
        client.close()
    let_go.set()


def test_an_app_without_a_lifespan_is_fine(call):
    app = App()

    async def plain(scope, receive, send):
        assert scope["type"] == "http"
        await app(scope, receive, send)

    async def silent(scope, receive, send):
        if scope["type"] == "http":
            await app(scope, receive, send)

    assert call(plain, at("/echo")).starts == 0
    assert call(silent, at("/echo")).starts == 0


def test_many_threads_share_one_app():
    app = App()
    with drawbar.Client.in_process(app) as client, ThreadPoolExecutor(8) as pool:
        answers = list(pool.map(lambda n: client._call(at("/echo"), n).body, range(200)))
    assert answers == [str(n) for n in range(200)]
    assert app.events == ["start", "stop"]


def test_many_tasks_share_one_app():
    async def main():
        async with drawbar.AsyncClient.in_process(App()) as client:
            return await asyncio.gather(*(client._call(at("/echo"), n) for n in range(200)))

    assert [answer.body for answer in asyncio.run(main())] == [str(n) for n in range(200)]


def test_closing_breaks_off_what_is_under_way_and_says_so():
    app = App()
    client = drawbar.Client.in_process(app, retry=ONCE)
    with ThreadPoolExecutor(1) as pool:
        waiting = pool.submit(client._call, at("/slow"))
        assert app.entered.wait(5)
        client.close()
        with pytest.raises(drawbar.ConnectionFailed, match="closed before it had answered"):
            waiting.result(5)
    assert app.events == ["start", "cancelled", "stop"]


def test_closing_an_async_client_does_not_cancel_the_tasks_that_wait():
    app = App()

    async def main():
        client = drawbar.AsyncClient.in_process(app, retry=ONCE)
        waiting = asyncio.create_task(client._call(at("/slow")))
        await asyncio.to_thread(app.entered.wait, 5)
        await client.close()
        with pytest.raises(drawbar.ConnectionFailed, match="closed before it had answered"):
            await waiting
        assert not waiting.cancelled()

    asyncio.run(main())
    assert app.events == ["start", "cancelled", "stop"]


def test_a_cancelled_caller_cancels_its_request_only():
    app = App()

    async def main():
        async with drawbar.AsyncClient.in_process(app) as client:
            waiting = asyncio.create_task(client._call(at("/slow")))
            await asyncio.to_thread(app.entered.wait, 5)
            waiting.cancel()
            with pytest.raises(asyncio.CancelledError):
                await waiting
            assert (await client._call(at("/echo"))).starts == 1

    asyncio.run(main())
    assert app.events == ["start", "cancelled", "stop"]


def test_a_closed_client_says_so_and_closing_again_is_fine():
    app = App()
    client = drawbar.Client.in_process(app)
    twin = client.with_options(units="us")
    client.close()
    client.close()
    twin.close()
    for closed in (client, twin):
        with pytest.raises(drawbar.DrawbarError, match="closed"):
            closed._call(at("/echo"))
    assert app.events == ["start", "stop"]


def test_a_transport_that_is_dropped_shuts_its_app_down():
    app = App()
    transport = InProcessTransport(app)
    del transport
    gc.collect()
    assert app.events == ["start", "stop"]


def test_a_transport_that_is_dropped_on_the_apps_own_thread_does_not_wait_for_itself():
    loops, stopped = [], threading.Event()

    async def app(scope, receive, send):
        loops.append(asyncio.get_running_loop())
        await receive()
        await send({"type": "lifespan.startup.complete"})
        await receive()
        stopped.set()
        await send({"type": "lifespan.shutdown.complete"})

    held = [InProcessTransport(app)]
    loops[0].call_soon_threadsafe(held.clear)
    assert stopped.wait(5)


def test_a_dropped_transport_whose_app_cannot_stop_is_logged(caplog):
    transport = InProcessTransport(App(refuse_stop=True))
    del transport
    gc.collect()
    assert "stuck valve" in caplog.text


def in_fresh_interpreter(code):
    done = subprocess.run(
        [sys.executable, "-X", "dev", "-W", "error", "-c", textwrap.dedent(code)],
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )
    return done.returncode, done.stdout, done.stderr


def test_a_client_that_nobody_closes_leaves_the_interpreter_in_order():
    code = """
        import drawbar
        async def app(scope, receive, send):
            while True:
                word = (await receive())["type"]
                print(word, flush=True)
                await send({"type": word + ".complete"})
                if word == "lifespan.shutdown":
                    return
        client = drawbar.Client.in_process(app)
    """
    assert in_fresh_interpreter(code) == (0, "lifespan.startup\nlifespan.shutdown\n", "")


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="forks")
def test_after_a_fork_the_client_says_that_its_service_is_gone():
    code = """
        import os, warnings, drawbar
        warnings.simplefilter("ignore", DeprecationWarning)
        async def app(scope, receive, send):
            assert scope["type"] == "http"
        with drawbar.Client.in_process(app) as client:
            child = os.fork()
            if child == 0:
                try:
                    client.version()
                except drawbar.DrawbarError as error:
                    os.write(1, str(error).encode())
                os._exit(0)
            os.waitpid(child, 0)
    """
    code, told, errors = in_fresh_interpreter(code)
    assert (code, errors) == (0, "")
    assert "before this process was forked" in told


# ---- the service package


@pytest.fixture
def service(monkeypatch):
    """Stand in for the service package, whether or not it is installed."""
    package = types.ModuleType("drawbar_service")
    package.direct = types.ModuleType("drawbar_service.direct")
    monkeypatch.setitem(sys.modules, "drawbar_service", package)
    monkeypatch.setitem(sys.modules, "drawbar_service.direct", package.direct)
    return package


def test_without_an_app_the_service_runs(call, service):
    app = App()
    service.direct.in_process_app = lambda: app
    assert call(None, at("/echo")).starts == 1
    assert app.events == ["start", "stop"]


def test_a_missing_service_package_is_named_with_its_remedy(call, monkeypatch):
    monkeypatch.setitem(sys.modules, "drawbar_service", None)
    monkeypatch.delitem(sys.modules, "drawbar_service.direct", raising=False)
    with pytest.raises(drawbar.DrawbarError, match=r"pip install ./service"):
        call(None, at("/echo"))


def test_a_service_that_misses_something_else_is_not_called_missing(call, service, monkeypatch, tmp_path):
    (tmp_path / "direct.py").write_text("import no_such_module_anywhere\n", "utf-8")
    service.__path__ = [str(tmp_path)]
    monkeypatch.delitem(sys.modules, "drawbar_service.direct")
    with pytest.raises(ModuleNotFoundError, match="no_such_module_anywhere"):
        call(None, at("/echo"))


def test_the_app_sees_a_plain_local_request():
    seen = {}

    async def app(scope, receive, send):
        assert scope["type"] == "http"
        seen.update(scope)
        await send({"type": "http.response.start", "status": 200, "headers": []})
        await send({"type": "http.response.body", "body": json.dumps({"ok": True}).encode()})

    with drawbar.Client.in_process(app, token="hush", units="us") as client:
        assert client._call(Operation("GET", "/version", dict, takes_units=False)) == {"ok": True}
        client._call(Operation("POST", "/v1/match", dict), {"a": 1})
    assert (seen["method"], seen["path"], seen["query_string"]) == ("POST", "/v1/match", b"units=us")
    assert (b"host", b"localhost") in seen["headers"]
    assert (b"authorization", b"Bearer hush") in seen["headers"]
