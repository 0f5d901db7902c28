"""The calculators of the plate test guide: pure Python, standard library only, no screen.

One module a stage of the job; `calc.catalogue` lists every calculator. The same
bytes are tested by pytest, run on the command line and run in the browser.
"""
