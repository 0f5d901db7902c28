"""An answer as plain data and as plain text, for the command line and for files."""

from __future__ import annotations

from typing import Any

from calc.core.declare import Calculator, Quantity, Result, phrase_text
from calc.core.units import SYSTEMS
from calc.show.plot import cell_text


def _steady(value: float) -> float:
    """The value to 14 digits: the last bits of a sine or a power differ between mathematics libraries, no figure does.

    >>> _steady(0.1 + 0.2)
    0.3
    """
    return float(f"{value:.14g}")


def as_json(result: Result) -> dict[str, Any]:
    """The answer as data.

    `value` is in the base unit named by `unit` (SI; angles in degrees, elongation in percent).
    """
    tables = {
        listing.name: [
            {column.label: cell_text(cell, column, "us") for cell, column in zip(row, listing.table.columns)}
            for row in listing.table.rows
        ] for listing in result.tables
    }
    return {
        "calculator": result.calculator.id, "level": result.level.value, "inputs": dict(result.inputs),
        "values": [
            {
                "name": value.name, "label": value.label, "symbol": value.symbol,
                "unit": value.kind.base if value.kind else "",
                "value": _steady(float(value.amount)) if value.amount is not None else value.wording,
                "us": value.text("us"), "si": value.text("si"), "source": value.source.text,
            }
            for value in result.values
        ],
        "steps": [
            {
                "label": step.label, "symbol": step.symbol, "formula": step.letters(), "us": step.numbers("us"),
                "si": step.numbers("si"),
            }
            for step in result.steps
        ],
        "checks": [
            {
                "id": check.id, "level": check.level.value, "us": phrase_text(check.phrase, "us"),
                "si": phrase_text(check.phrase, "si"), "source": check.source.text,
            }
            for check in result.checks
        ],
        "cautions": list(result.cautions), "sources": [citation.text for citation in result.sources],
        **({"tables": tables} if tables else {}),
    }


def as_text(result: Result) -> str:
    """The answer for a terminal: sentence, figures in both systems, steps, checks, cautions, sources."""
    calc = result.calculator
    lines = [calc.title, ""]
    for system in SYSTEMS:
        sentence = phrase_text(result.headline, system)
        if sentence and sentence not in lines:
            lines.append(sentence)
    for listing in result.tables:
        lines += ["", listing.title]
        for row in listing.table.rows:
            cells = list(zip(row, listing.table.columns, strict=True))
            lines.append("  " + "; ".join(
                f"{column.label} {cell_text(cell, column, 'us')}" for cell, column in cells if cell is not None
            ))
    lines += ["", "Figures"]
    for value in result.values:
        us, si = value.text("us"), value.text("si")
        lines.append(f"  {value.label}: {us if us == si else f'{us} = {si}'}  [{value.source.standing.value}]")
    if result.steps:
        lines += ["", "Worked steps"]
        for step in result.steps:
            lines += [f"  {step.label}", f"    {step.letters()}"]
            lines += [f"    {each}" for each in dict.fromkeys(step.numbers(system) for system in SYSTEMS)]
    if result.checks:
        lines += ["", "Checks"]
        lines += [f"  {check.level.label}: {phrase_text(check.phrase, 'us')}" for check in result.checks]
    if result.cautions:
        lines += ["", "Take care", *(f"  {text}" for text in result.cautions)]
    lines += ["", "Sources", *(f"  {citation.text}" for citation in result.sources)]
    return "\n".join(lines)


def usage(calc: Calculator) -> str:
    """The inputs of a calculator as `--help` prints them."""
    lines = [f"{calc.id}: {calc.question}", "", "Inputs, written as name=value:"]
    for each in calc.inputs:
        default = each.default.replace("\n", "; ") or "blank"
        kind = f"{each.kind.name}, " if isinstance(each, Quantity) else ""
        lines += [f"  {each.name}  ({kind}{each.range_text()}; default {default})", f"      {each.label}. {each.help}"]
    lines += ["", "Add --json for plain data. Units: " + _unit_hint(calc)]
    return "\n".join(lines)


def _unit_hint(calc: Calculator) -> str:
    kinds = dict.fromkeys(each.kind for each in calc.inputs if isinstance(each, Quantity))
    hints = [f"{kind.name} in {', '.join(unit.symbol for unit in kind.units)}" for kind in kinds if kind.us.symbol]
    return "; ".join(hints) + "." if hints else "none."
