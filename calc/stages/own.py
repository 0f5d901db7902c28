"""The reader's own WPS as a limit: a figure against the band that it gives, and the inputs for such bands.

Stage: all that judge a figure. Outside the band of the WPS is a stop and at its ends in order, whatever a table says;
the figure of the guide stands beside it. How the WPS itself stands to the code is another question: `calc.stages.wps`.
"""

from __future__ import annotations

from calc.core.declare import Amount, InputError, Quantity, Working
from calc.core.sources import YOUR_WPS
from calc.core.units import CURRENT, TRAVEL_SPEED, VOLTAGE, Kind, Number, show_both

Ends = tuple[Number | None, Number | None]
"""The least and the most that a WPS allows, in base units; None for an end that it does not state."""
UNSTATED: Ends = (None, None)
IF_STATED = "Leave blank if your WPS states none."


def _band(name: str, words: str, kind: Kind, low: str, high: str, limit_of: str) -> tuple[Quantity, Quantity]:
    """The two inputs of a band; `limit_of` is the check of a stage that a table decides without it."""
    low_end, high_end = (
        Quantity(f"{name}_{end}", f"{which} {words} of your WPS", kind, "", low, high, IF_STATED,
            limit_of=(name, limit_of))
        for end, which in (("low", "Minimum"), ("high", "Maximum"))
    )
    return low_end, high_end


AMPS_BAND = _band("amps", "amperage", CURRENT, "10 A", "600 A", "window")
VOLTS_BAND = _band("volts", "arc voltage", VOLTAGE, "5 V", "100 V", "arc-volts")
TRAVEL_BAND = _band("travel", "travel speed", TRAVEL_SPEED, "0.5 in/min", "200 in/min", "hand-speed")


def require_order(low: Number | None, high: Number | None, minimum: Quantity) -> None:
    """A band goes upward; a blank end is none. Raises `InputError` on the field of the minimum, with the highest value
    that it may have.

    >>> require_order(130, 110, AMPS_BAND[0])
    Traceback (most recent call last):
    calc.core.declare.InputError: Minimum amperage of your WPS: it is over the maximum; write at most 110\xa0A
    """
    if low is not None and high is not None and low > high:
        raise InputError(
            minimum.name, minimum.label, f"it is over the maximum; write at most {show_both(high, minimum.kind)}",
        )


def judge_band(
    w: Working, id: str, name: str, low: Number | None, high: Number | None, *, figure: str = "", limit: str = "",
    under: str = "", over: str = "",
) -> bool:
    """Judge a figure, known to the sheet as `name`, by the band of the reader's WPS: outside is a stop, an end is in
    order. Returns whether the WPS gives a band at all; without one nothing is said.

    `low` and `high` are in the base unit of the figure, None where the WPS states none. `figure` are the words that
    the sentence begins with, `limit` those that name the limit; `under` and `over` say what to do. Source: the WPS in
    the reader's hand.

    >>> from fractions import Fraction
    >>> w = Working()
    >>> set_to = w.given("amps", "I", Fraction(112), CURRENT)
    >>> judge_band(w, "wps", "amps", Fraction(110), Fraction(130)), w.checks[0].level.value
    (True, 'ok')
    """
    if low is None and high is None:
        return False
    shown = w.known[name]
    assert isinstance(shown, Amount), name
    ends = f"{id}-low".replace("-", "_"), f"{id}-high".replace("-", "_")
    for end, amount in zip(ends, (low, high)):
        if amount is not None:
            w.known[end] = Amount(amount, shown.kind, as_written=True)
    said = figure or f"{{{name}}}"
    minimum, maximum = (f"the {end}{' ' + limit if limit else ''} in your WPS, {{{known}}}"
        for end, known in zip(("minimum", "maximum"), ends))
    if low is not None and shown.amount < low:
        w.stop(id, f"{said} is under {minimum}.{' ' + under if under else ''}", source=YOUR_WPS)
    elif high is not None and shown.amount > high:
        w.stop(id, f"{said} is over {maximum}.{' ' + over if over else ''}", source=YOUR_WPS)
    elif high is None:
        w.ok(id, f"{said} is not under {minimum}.", source=YOUR_WPS)
    elif low is None:
        w.ok(id, f"{said} is not over {maximum}.", source=YOUR_WPS)
    else:
        w.ok(id, f"{said} is within the band of your WPS, {{{ends[0]}}} to {{{ends[1]}}}.", source=YOUR_WPS)
    return True


def judge_arc(
    w: Working, *, volts: Ends = UNSTATED, amps: Ends = UNSTATED, speed: Ends = UNSTATED,
) -> None:
    """Judge an arc by the bands of the WPS: voltage, amperage and travel speed, known to the sheet as `volts`, `amps`
    and `speed`. Checks `volts-wps`, `amps-wps`, `speed-wps`, each where the WPS gives a band.

    Raises `InputError` for a band that is upside down.
    """
    for name, band, (minimum, _) in (("volts", volts, VOLTS_BAND), ("amps", amps, AMPS_BAND),
        ("speed", speed, TRAVEL_BAND)):
        require_order(*band, minimum)
        judge_band(w, f"{name}-wps", name, *band)
