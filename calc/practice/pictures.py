"""Drawings of our own for questions: flaws in section and on the bend, cut faces, beads."""

from __future__ import annotations

_NAMES = (
    "porosity", "slag-inclusion", "incomplete-fusion", "incomplete-penetration", "undercut", "overlap", "underfill",
    "excess-reinforcement", "mismatch", "spatter", "arc-strike", "toe-crack", "longitudinal-crack", "crater-crack",
    "underbead-crack", "sound-weld", "bend-passed", "bend-root-opening", "bend-corner-crack", "bend-face-openings",
    "cut-right", "cut-too-fast", "cut-too-slow", "bead-right", "bead-too-fast", "bead-too-slow",
)
PICTURES = dict.fromkeys(_NAMES)
