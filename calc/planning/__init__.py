"""Planning the material and the day: what to cut from which stock, and what a class takes in metal, rods, gas and
time.
"""
