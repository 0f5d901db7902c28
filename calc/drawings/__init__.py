"""The drawings of the calculators, one module a stage. Each function draws from the numbers that `Working` knows."""

from __future__ import annotations

from calc.declare import Amount, Working


def metres(w: Working, *names: str) -> tuple[float, ...]:
    """The known quantities of those names, in base units, as plain numbers."""
    return tuple(float(amount.amount) for amount in (w.known[name] for name in names) if isinstance(amount, Amount))
