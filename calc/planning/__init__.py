"""Planning the material and the day: what to cut from which stock, and what a class takes in metal, rods, gas and
time.
"""

from calc.later import later

DOES = ("plan-start", "plan-step", "plan-paper", "plan-file")
"""What the page may ask of plans; `calc.planning.desk` does it."""

PLANNING_DO = later("calc.planning.desk", DOES)
