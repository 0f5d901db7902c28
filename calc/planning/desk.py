"""The door between the page and the plans: better plans in slices, sheets to print, files to keep.

A search for a better plan is kept between requests and goes on a slice at a time,
so that the page can show how far it is, answer other forms meanwhile, and stop it
at once. There is one search at a time; another one takes its place.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from calc.core.declare import InputError
from calc.core.units import LENGTH, asked_system, show_as_written
from calc.planning import class_papers
from calc.planning.class_plan import CLASS_PLAN, PLANNER
from calc.planning.cut_list import Asked, ask, asked, letter, remember
from calc.show.plot import svg
from calc.show.table import UTF_8_MARK, csv_table
from calc.show.html import both, phrase_html, shown
from calc.show.report import as_json

Request = dict[str, Any]


@dataclass
class _Search:
    """The search under way: what was asked, and its steps."""

    number: int
    asked: Asked
    steps: Any


class _Desk:
    """Holds the one search that goes on between requests."""

    def __init__(self) -> None:
        self.number = 0
        self.search: _Search | None = None

    def start(self, request: Request) -> dict[str, Any]:
        """Begin a search for better plans. Answers its number, or the errors of the form."""
        try:
            asked = _asked(request)
        except InputError as trouble:
            return {"errors": {trouble.field: trouble.message}}
        self.number += 1
        self.search = _Search(self.number, asked, asked.search())
        return {"errors": {}, "search": self.number}

    def go_on(self, request: Request) -> dict[str, Any]:
        """Search on for so many small steps. Answers how far it is, and the answer of the form where the plan is a new
        one.
        """
        search = self.search
        if search is None or search.number != request.get("search"):
            return {"gone": True}
        fresh, done, progress = None, False, None
        steps = request.get("steps", 1)
        for _ in range(max(1, steps) if isinstance(steps, int) else 1):
            item = next(search.steps, None)
            if item is None:
                done = True
                break
            progress, plan = item
            fresh = plan or fresh
        told: dict[str, Any] = {"done": done}
        if progress is not None:
            told |= {"share": progress.share, "words": progress.words}
        if fresh is not None:
            remember(search.asked.job, fresh)
            told |= shown(search.asked.result(fresh), str(request.get("place") or search.asked.planner.calculator.id))
        return told


def _asked(request: Request) -> Asked:
    texts = {str(name): str(text) for name, text in request.get("inputs", {}).items()}
    system = asked_system(request.get("system"))
    if request["calculator"] == CLASS_PLAN.id:
        return asked(PLANNER, texts, system)
    return ask(str(request["calculator"]), texts, system)


# --- on paper ------------------------------------------------------------------------


def _paper(request: Request) -> dict[str, Any]:
    """The shopping list or the cutting plan of a form, as HTML for a page of its own."""
    if request.get("calculator") == CLASS_PLAN.id:
        return class_papers.paper(request)
    try:
        asked = _asked(request)
    except InputError as trouble:
        return {"errors": {trouble.field: trouble.message}}
    plan = asked.plan
    if plan is None:
        return {"errors": {"stock": "There is no plan to print: the counted stock does not suffice."}}
    page = shopping_list(asked, plan) if request.get("page") == "shopping" else cutting_plan(asked, plan)
    return {"errors": {}, "html": page}


_SIGN_OFF = '<p class="paper-note">Made by the study guide from the figures entered. Measure before you cut.</p>'


def shopping_list(asked: Asked, plan: Any) -> str:
    """What to take from the rack or to buy, and what is to be cut from it: one page."""
    result = asked.result(plan)
    taken: dict[int, int] = {}
    for layout in plan.layouts:
        place = layout.stock if hasattr(layout, "stock") else layout.sheet
        taken[place] = taken.get(place, 0) + layout.times
    stocks = plan.job.stocks if hasattr(plan.job, "stocks") else plan.job.sheets
    rows = "".join(
        f"<tr><td>{count}</td><td>{_name(stocks[place].name, 'stock', place)}</td><td>{_size(stocks[place])}</td><td>"
        f"{_money(stocks[place].price)}</td><td>{_money(stocks[place].price * count if stocks[place].price is not None else None)}</td><td>□</td></tr>"
        for place, count in sorted(taken.items())
    )
    wanted = [
        f"{piece.count} × {letter(row)} {_name(piece.name, 'piece', row)}, {_size(piece)}" for row,
        piece in enumerate(plan.job.pieces) if piece.count
    ]
    mass = result["stock_mass"]
    return (
        f"<h2>Shopping list</h2><p>{phrase_html(result.headline)}</p>"
        f'<table><caption>Stock to take</caption><thead><tr><th scope="col">Count</th><th scope="col">Stock</th><th '
        f'scope="col">Size</th>'
        f'<th scope="col">Price of one</th><th scope="col">Price</th><th scope="col">Got '
        f'it</th></tr></thead><tbody>{rows}</tbody></table>'
        f"<p>{mass.label}: {both(mass.text('us'), mass.text('si'))}</p>"
        f"<h3>Pieces wanted</h3>{_listed(wanted)}{_SIGN_OFF}"
    )


def cutting_plan(asked: Asked, plan: Any) -> str:
    """The layouts, drawn to scale: one page."""
    result = asked.result(plan)
    drawn = "".join(
        f"<figure>{svg(drawing, f'paper-{number}')}</figure>" for number, drawing in enumerate(result.drawings)
    )
    rows = [
        f"{_escape(value.label)}: {_escape(value.wording)}" for value in result.values
        if value.name.startswith("layout_")
    ]
    letters = "; ".join(
        f"{letter(row)} {_name(piece.name, 'piece', row)} {_size(piece)}" for row,
        piece in enumerate(plan.job.pieces) if piece.count
    )
    return (
        f"<h2>Cutting plan</h2><p>{phrase_html(result.headline)}</p><p>{letters}. Kerf {_both(plan.job.kerf)}.</p>"
        f'<div class="paper-drawings" '
        f'data-columns="{_columns(len(result.drawings), (1, 4))}">{drawn}</div>{_listed(rows, (24, 60))}{_SIGN_OFF}'
    )


def _listed(items: list[str], most: tuple[int, int] = (20, 40)) -> str:
    """Lines with a box to tick, in one, two or three columns, so that they stay on the page."""
    inside = "".join(f"<li>□ {item}</li>" for item in items)
    return f'<ul class="paper-list" data-columns="{_columns(len(items), most)}">{inside}</ul>'


def _columns(count: int, most: tuple[int, int]) -> int:
    return 1 + sum(count > each for each in most)


def _escape(text: str) -> str:
    return both(text, text)


def _name(name: str, what: str, place: int) -> str:
    return _escape(name or f"{what} {place + 1}")


def _both(length: Any) -> str:
    return both(show_as_written(length, LENGTH, "us"), show_as_written(length, LENGTH, "si"))


def _size(part: Any) -> str:
    return f"{_both(part.length)} × {_both(part.width)}" if hasattr(part, "width") else _both(part.length)


def _money(price: Any) -> str:
    return "" if price is None else f"{float(price):.2f}"


# --- files ---------------------------------------------------------------------------

def plan_csv(asked: Asked, plan: Any) -> str:
    """The plan as a table: a row a layout and piece, lengths in inches and millimetres."""
    head = (
        "layout", "times", "stock", "stock length in", "piece", "name", "count in one", "length in", "length mm",
        "rest in", "rest use",
    )
    return csv_table((head, *_rows(asked, plan)))


def _rows(asked: Asked, plan: Any):
    job, sheets = plan.job, hasattr(plan.job, "sheets")
    for number, layout in enumerate(plan.layouts, 1):
        stock = job.sheets[layout.sheet] if sheets else job.stocks[layout.stock]
        name = stock.name or f"stock {(layout.sheet if sheets else layout.stock) + 1}"
        cuts = [kind for strip in layout.strips for kind in strip.pieces] if sheets else list(layout.cuts)
        rest, use = ("", "") if sheets else (_inches(layout.remnant), "keep" if plan.is_kept(layout) else "scrap")
        for kind in sorted(set(cuts)):
            piece = job.pieces[kind]
            yield (
                number, layout.times, name, _inches(stock.length), letter(kind), piece.name or f"piece {kind + 1}",
                cuts.count(kind),
                _inches(piece.length), f"{float(piece.length * 1000):.4f}", rest, use,
            )


def _inches(length: Any) -> str:
    return f"{float(length * 10000 / 254):.5f}"


def plan_json(asked: Asked, plan: Any) -> str:
    """The plan and the whole answer of the form as data; lengths in metres."""
    rows = [
        dict(
            zip(
                (
                    "layout", "times", "stock", "stock_in", "letter", "piece", "count", "length_in", "length_mm",
                    "rest_in", "rest_use",
                ),
                row,
            )
        )
        for row in _rows(asked, plan)
    ]
    data = {
        "format": "plate-test-guide plan", "version": 1, "answer": as_json(asked.result(plan)), "rows": rows,
        "cost": float(plan.cost), "least": float(plan.least), "proven": plan.proven,
    }
    return json.dumps(data, indent=1, ensure_ascii=False)


def _file(request: Request) -> dict[str, Any]:
    """The plan as a file: its name, type and text."""
    if request.get("calculator") == CLASS_PLAN.id:
        return class_papers.file(request)
    try:
        asked = _asked(request)
    except InputError as trouble:
        return {"errors": {trouble.field: trouble.message}}
    plan = asked.plan
    if plan is None:
        return {"errors": {"stock": "There is no plan to keep: the counted stock does not suffice."}}
    return {"errors": {}, **_as_file(
        request, asked.planner.calculator.id, lambda: plan_csv(asked, plan), lambda: plan_json(asked, plan),
    )}


def _as_file(request: Request, name: str, as_csv: Callable[[], str], as_data: Callable[[], str]) -> dict[str, str]:
    if request.get("kind") == "json":
        return {"name": f"{name}.json", "type": "application/json", "text": as_data()}
    # The mark at the start tells a spreadsheet that the text is UTF-8.
    return {"name": f"{name}.csv", "type": "text/csv;charset=utf-8", "text": UTF_8_MARK + as_csv()}


_DESK = _Desk()
DO: dict[str, Callable[[Request], dict[str, Any]]] = {
    "plan-start": _DESK.start, "plan-step": _DESK.go_on,
    "plan-paper": _paper, "plan-file": _file,
}
