"""The drawings of an answer as files: SVG for a picture, comma-separated values for a plot's numbers."""

from __future__ import annotations

from typing import Any

from calc.catalogue import calculator
from calc.core.declare import InputError
from calc.core.units import asked_system
from calc.show.plot import Plot, csv_text, svg


def figure_file(request: dict[str, Any]) -> dict[str, Any]:
    """One drawing of an answer as the text of a file, with a name for it: for the page's save buttons.

    The request names the calculator, its inputs, the figure, and `as`: "svg" or "csv".

    >>> told = figure_file({"calculator": "groove", "inputs": {}, "figure": "no-such", "as": "svg"})
    >>> told["trouble"]
    'This answer has no such drawing.'
    """
    calc = calculator(str(request["calculator"]))
    texts = {str(name): str(text) for name, text in request.get("inputs", {}).items()}
    try:
        result = calc.answer(texts, asked_system(request.get("system")))
    except InputError as trouble:
        return {"trouble": f"Nothing to save yet. {trouble}"}
    for figure in result.drawings:
        if figure.name != request["figure"]:
            continue
        stem = f"{calc.id}-{figure.name}"
        if request["as"] == "csv" and isinstance(figure, Plot):
            # The mark at the front tells spreadsheets that the letters are UTF-8.
            return {"text": "\ufeff" + csv_text(figure), "name": f"{stem}.csv", "type": "text/csv"}
        if request["as"] == "svg":
            return {"text": svg(figure, stem, alone=True), "name": f"{stem}.svg", "type": "image/svg+xml"}
    return {"trouble": "This answer has no such drawing."}
