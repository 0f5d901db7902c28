"""A question of a shop as its file holds it, for all tests that bring one. The shop and its log are invented."""

SHOP = "Fennick Lock Training Shop"
OVEN_LOG = f"""chapter = "rods"
shop = "{SHOP}"

[[objective]]
id = "own-oven-log"
text = "Read the oven log of this shop"

[[question]]
id = "own-oven-log-morning"
kind = "choice"
objective = "own-oven-log"
text = "Who signs the oven log in the morning? (invented)"
[[question.option]]
text = "Whoever opens the oven first"
right = true
why = "So says the sheet on its door."
[[question.option]]
text = "Nobody"
why = "An oven without a signature counts as off."
[[question.option]]
text = "The office"
why = "The office is not at the oven."
"""
