"""A link as a QR code: the way from the sheet in the booth back to the guide.

Stage: before the test. The squares come from the package segno, which only this needs; the drawing is ours. ISO/IEC
18004 gives the code itself.
"""

from __future__ import annotations

from html import escape

QUIET = 4
"""Light squares that a code needs on each side, ISO/IEC 18004."""
SQUARE_MM = 0.33
"""Side of a square on paper: what the camera of a phone still tells apart."""
LONGEST = 2000
"""Characters of a link. A code holds about 2300 at this level; beyond, a camera hardly reads it from paper."""


class Missing(Exception):
    """The package that makes the squares is not installed."""


class TooLong(ValueError):
    """The link is longer than a code may hold."""


def qr_squares(text: str) -> tuple[tuple[bool, ...], ...]:
    """The dark squares of a QR code, row by row, without the quiet zone; error correction M: 15 % may be lost.

    Raises `Missing` without the package segno, and `TooLong` for more than `LONGEST` bytes.
    """
    if len(text.encode()) > LONGEST:
        raise TooLong(f"the link is too long for a QR code: {len(text.encode())} characters; at most {LONGEST}")
    try:
        from segno.encoder import encode
    except ImportError:
        raise Missing("the QR code needs the package segno; everything else works without it") from None
    return tuple(tuple(square == 1 for square in row) for row in encode(text, error="m", micro=False).matrix)


def qr_svg(text: str, title: str = "Link to this test in the guide") -> str:
    """A QR code as SVG, one unit a square, with its quiet zone. Raises what `qr_squares` raises."""
    squares = qr_squares(text)
    side = len(squares) + 2 * QUIET
    # Runs of a row and not single squares: half the size, and no hairlines between them on paper.
    runs = "".join(
        f"M{start + QUIET} {y + QUIET}h{long}v1h-{long}z" for y, row in enumerate(squares) for start, long in _runs(row)
    )
    return (
        f'<svg class="qr" role="img" aria-label="{escape(title)}, as a QR code: {escape(text)}" '
        f'viewBox="0 0 {side} {side}" width="{side * SQUARE_MM:.1f}mm" height="{side * SQUARE_MM:.1f}mm" '
        f'shape-rendering="crispEdges" data-squares="{len(squares)}">'
        f'<rect width="{side}" height="{side}" fill="#ffffff"/><path d="{runs}" fill="#000000"/></svg>'
    )


def _runs(row: tuple[bool, ...]) -> list[tuple[int, int]]:
    """Where each run of dark squares starts and how long it is.

    >>> _runs((True, True, False, True))
    [(0, 2), (3, 1)]
    """
    found: list[tuple[int, int]] = []
    for x, dark in enumerate(row):
        if dark and x and row[x - 1]:
            found[-1] = (found[-1][0], found[-1][1] + 1)
        elif dark:
            found.append((x, 1))
    return found
