"""What the commands share: a refusal in one line."""

from __future__ import annotations

import sys


def refuse(line: str) -> int:
    """Say why a command cannot be carried out; returns its exit code."""
    print(line, file=sys.stderr)
    return 2
