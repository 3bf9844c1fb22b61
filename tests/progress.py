"""What the tests show in place of dots: a line that moves, each failure as it comes, and at the end seconds by folder.

The line names the folder of the test that ended last. On a terminal it is written over; elsewhere, as in the log of a
build, a new one comes every ten seconds. With `pytest -v` pytest's own lines come instead.
"""

import time
from collections import Counter
from collections.abc import Iterator
from typing import Any

import pytest

PERIOD_ON_A_TERMINAL, PERIOD_ELSEWHERE = 0.1, 10.0
"""Between two lines [s]."""


def folder_of(nodeid: str) -> str:
    return nodeid.partition("::")[0].rpartition("/")[0]


class SecondsByFolder:
    def __init__(self, reporter: pytest.TerminalReporter) -> None:
        self._reporter = reporter
        self._seconds: Counter[str] = Counter()

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        self._seconds[folder_of(report.nodeid)] += report.duration

    def pytest_terminal_summary(self, config: pytest.Config) -> None:
        if len(self._seconds) < 2:
            return
        workers = config.getoption("numprocesses", None) or 1
        self._reporter.write_sep("-", f"seconds by folder, {workers} at a time")
        for folder, seconds in self._seconds.most_common():
            self._reporter.write_line(f"{seconds:8.1f}  {folder}")
        self._reporter.write_line(f"{self._seconds.total():8.1f}  in all")


class MovingLine:
    def __init__(self, reporter: pytest.TerminalReporter) -> None:
        self._reporter = reporter
        self._on_terminal = reporter.isatty()
        self._period = PERIOD_ON_A_TERMINAL if self._on_terminal else PERIOD_ELSEWHERE
        self._ended = self._failed = 0

    def pytest_sessionstart(self, session: pytest.Session) -> None:
        self._session = session
        self._began = self._written = time.monotonic()

    @pytest.hookimpl(wrapper=True)
    def pytest_report_teststatus(self) -> Iterator[Any]:
        category, _letter, word = yield
        return category, "", word

    def pytest_runtest_logreport(self, report: pytest.TestReport) -> None:
        if report.failed:
            self._failed += 1
            if self._on_terminal:
                self._reporter.rewrite("", erase=True)
                self._reporter.rewrite("")
            self._reporter.write_line(f"failed: {report.nodeid}")

    def pytest_runtest_logfinish(self, nodeid: str) -> None:
        self._ended += 1
        now, total = time.monotonic(), self._session.testscollected
        if now - self._written < self._period and self._ended < total:
            return
        self._written = now
        line = f"{now - self._began:4.0f} s  {self._ended} of {total}  {self._ended / total:4.0%}  {folder_of(nodeid)}"
        if self._failed:
            line += f"  {self._failed} failed"
        if self._on_terminal:
            self._reporter.rewrite(line, erase=True)
        else:
            self._reporter.write_line(line)


@pytest.hookimpl(trylast=True)  # after pytest has made its reporter, which a process of pytest-xdist has none of
def pytest_configure(config: pytest.Config) -> None:
    reporter = config.pluginmanager.get_plugin("terminalreporter")
    if reporter is None:
        return
    config.pluginmanager.register(SecondsByFolder(reporter))
    if config.get_verbosity() <= 0:
        reporter.showfspath = False
        config.pluginmanager.register(MovingLine(reporter))
