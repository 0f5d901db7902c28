"""What everything stands on: units, formulas that write themselves down, the register of sources, how a calculator
is declared.
"""
