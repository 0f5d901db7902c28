"""Stands in for the library's `_colorize` in the browser: there is no terminal, so every color is empty text.

The library's own module builds its themes from generated classes at every start, a tenth of the time until the first
answer, although nothing here ever shows them.
"""


class _Plain:
    """Any color, section or theme: each name in it is empty text."""

    def __getattr__(self, name):
        if name.startswith("__"):
            raise AttributeError(name)
        return ""

    def __getitem__(self, name):
        return ""


class _Theme:
    """Every section of a theme is plain."""

    def __getattr__(self, name):
        if name.startswith("__"):
            raise AttributeError(name)
        return _Plain()


ANSIColors = _Plain()


def get_colors(colorize=False, *, file=None):
    return ANSIColors


def get_theme(**kwargs):
    return _Theme()


def can_colorize(*, file=None):
    return False


def decolor(text):
    return text
