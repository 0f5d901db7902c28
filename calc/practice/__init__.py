"""Practice: questions drawn from forms that are data, marked, spaced and printed. Knows no screen and no clock."""
