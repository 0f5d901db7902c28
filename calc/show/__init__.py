"""How an answer is shown: drawings, plots, pictures, sliders, the form and the answer as HTML, plain data and plain
text.
"""
