"""Text of a user, safe to show: nothing in it acts on a terminal, a page or a file."""


def visible(text: str) -> str:
    """User text with every control character turned into a character that can be seen.

    C0 controls and DEL become their Unicode control pictures (an escape becomes U+241B); C1
    controls, bidirectional overrides, line separators and lone surrogates become U+FFFD. What
    is stored can then be shown, exported and printed anywhere without acting on anything.
    """
    if text.isascii() and text.isprintable():
        return text
    return "".join(_visible(char) for char in text)


def _visible(char: str) -> str:
    code = ord(char)
    if code < 0x20:
        return chr(0x2400 + code)
    if code == 0x7F:
        return chr(0x2421)
    hidden = 0x80 <= code < 0xA0 or 0x2028 <= code <= 0x202E or 0x2066 <= code <= 0x2069
    return "\ufffd" if hidden or 0xD800 <= code <= 0xDFFF else char
