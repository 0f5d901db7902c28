"""Text in files that people bring from any editor."""

from __future__ import annotations


class NotText(ValueError):
    """A file that holds no text which can be read; the message says what it looks like and how to save it. `line` is
    the first that can't be read."""

    def __init__(self, message: str, line: int = 1) -> None:
        super().__init__(message)
        self.line = line


class WideText(NotText):
    """Text in UTF-16."""


_UTF_16 = (b"\xff\xfe", b"\xfe\xff")


def text_of(data: bytes) -> str:
    """The text of a file in UTF-8, with or without a byte order mark, its lines ended in any way.

    Raises `NotText` for UTF-16, for what looks like ANSI text, and for what is no text at all.

    >>> text_of(b"\\xef\\xbb\\xbfname\\r\\n")
    'name\\n'
    >>> text_of("name".encode("utf-16"))
    Traceback (most recent call last):
    ...
    calc.core.texts.WideText: this is UTF-16 text, which some editors call Unicode; save it as UTF-8
    >>> text_of("Länge".encode("cp1252"))
    Traceback (most recent call last):
    ...
    calc.core.texts.NotText: line 1 is not UTF-8 text; if an editor calls it ANSI, save it as UTF-8
    """
    if data.startswith(_UTF_16) or data[1:2] == b"\0" or data[:1] == b"\0":
        raise WideText("this is UTF-16 text, which some editors call Unicode; save it as UTF-8")
    if b"\0" in data:
        raise NotText("this is not a text file", data.count(b"\n", 0, data.index(b"\0")) + 1)
    try:
        text = data.decode().removeprefix("\ufeff")
    except UnicodeDecodeError as trouble:
        line = data.count(b"\n", 0, trouble.start) + 1
        words = f"line {line} is not UTF-8 text; if an editor calls it ANSI, save it as UTF-8"
        raise NotText(words, line) from None
    return text.replace("\r\n", "\n").replace("\r", "\n")
