"""While approving, what the tests gathered is written at the end of the run."""

from __future__ import annotations

from tests import approval


def pytest_sessionfinish(session, exitstatus):
    if approval.APPROVING and exitstatus == 0:
        approval.write_made()
