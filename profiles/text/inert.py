"""Text from files made harmless for each thing it is written into.

Anyone may write a label, a name or an id, so every text is hostile until it has passed here:

| written into | function |
|---|---|
| a terminal, one line | `escape_controls` |
| a terminal, several lines | `visible_block` |
| SVG and HTML | `xml_text`, `xml_attribute` |
| a cell of a CSV file | `csv_cell`, undone by `restore_csv_cell` |
| C source | `c_string`, `c_comment` |
| DXF | `dxf_text` |
| the name of a file | `file_name` |

Nothing is dropped: what may not pass is shown by a mark in its place.
"""

import re
from unicodedata import category, normalize

JOINERS = "\u200c\u200d"
"""Zero width joiners: Persian, the Indic scripts and many emoji cannot be written without."""

NUMBER_SIGNS = "\u0600\u0601\u0602\u0603\u0604\u0605\u06dd\u070f\u0890\u0891\u08e2"
"""Format characters that print a sign of their own (Unicode 15, prepended marks)."""

HIDDEN_CATEGORIES = frozenset(("Cc", "Cf", "Cs", "Cn", "Zl", "Zp"))
"""General categories of Unicode that a reader cannot see, or that steer a terminal."""

_FORMULA = r"(?=[\s\"']*[=+\-@＝＋－＠])"  # signs that start one: OWASP, CSV Injection
CELL_STARTS = rf"(\A(?=['\t\r\n])|\A{_FORMULA}|(?<=[;|\t\r\n]){_FORMULA})"
"""Where some reader may begin a cell with a formula, or with a letter that hides one.

Readers split at other signs than the comma too, and then pay no heed to quotes.
"""

RESERVED_STEMS = frozenset(
    ["con", "prn", "aux", "nul", "conin$", "conout$"]
    + [port + digit for port in ("com", "lpt") for digit in "0123456789¹²³"]
)
"""Names that Windows keeps for devices, whatever follows the dot (Naming Files, Paths)."""

LONGEST_STEM = 120
"""Bytes of UTF-8 in a file name's stem: leaves room for a suffix below the usual 255."""


def escape_controls(text: str) -> str:
    """Return `text` on one line, with marks for what a terminal would obey or hide.

    Control characters become their pictures (U+2400 and on), others the form ``\\u{202E}``.
    """
    if text.isprintable():
        return text
    return "".join([_show(letter) for letter in text])


def visible_block(text: str) -> str:
    """Return `text` like `escape_controls`, but with its line ends kept as ``\\n``."""
    return "\n".join([escape_controls(line) for line in text.replace("\r\n", "\n").split("\n")])


def xml_text(text: str) -> str:
    """Return `text` as content of an XML or HTML element (XML 1.0, production 2 `Char`)."""
    if not text.isprintable():
        text = "".join([_fit_xml(letter) for letter in text])
    text = text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;")
    return text.replace('"', "&quot;").replace("'", "&#39;").replace("\r", "&#13;")


def xml_attribute(text: str) -> str:
    """Return `text` as the value of an XML or HTML attribute, to stand between quotes."""
    return xml_text(text).replace("\t", "&#9;").replace("\n", "&#10;")


def csv_cell(text: str) -> str:
    """Return `text` with an apostrophe wherever a spreadsheet would begin to compute.

    An apostrophe of its own in such a place gets another, so that
    ``restore_csv_cell(csv_cell(text)) == text`` holds for every text.
    """
    return re.sub(CELL_STARTS, "'", text)


def restore_csv_cell(cell: str) -> str:
    """Return the text that `csv_cell` made `cell` from."""
    return re.sub(rf"\A'(?=['\t\r\n])|\A'{_FORMULA}|(?<=[;|\t\r\n])'{_FORMULA}", "", cell)


def c_string(text: str) -> str:
    """Return the inside of a C string literal: ASCII only, one line, no trigraphs.

    Bytes of UTF-8 beyond ASCII are octal escapes of three digits, which cannot swallow the
    digit that follows (ISO C 6.4.4.4). Control characters are shown as by `escape_controls`.
    """
    return "".join([_C_ESCAPES[byte] for byte in escape_controls(text).encode("utf-8")])


def c_comment(text: str) -> str:
    """Return `text` for a C comment of either kind: ASCII, one line, cannot end or extend it."""
    plain = (
        escape_controls(text).encode("ascii", "backslashreplace").decode("ascii").replace("\\", "/")
    )
    apart = plain.replace("*/", "* /").replace("/*", "/ *")
    return apart.replace("??", "? ?").replace("??", "? ?")


def dxf_text(text: str) -> str:
    """Return `text` for a DXF TEXT value: ASCII, with no control codes left in it.

    Letters beyond ASCII and the starts of codes (``%%``, ``^`` and the backslash) are written
    ``\\U+XXXX`` (DXF reference, string group codes); beyond U+FFFF as a surrogate pair.
    """
    shown = escape_controls(text)
    return "".join([_fit_dxf(letter, "%%" in shown) for letter in shown])


def file_name(text: str) -> str:
    """Return a stem for a file name that Windows, Linux and macOS all accept.

    Two texts may give one stem; the caller keeps them apart. Never empty.
    """
    kept = "".join([_fit_file_name(letter) for letter in normalize("NFC", text)])
    stem = "-".join(kept.split()).strip("-. ")
    stem = stem.encode("utf-8")[:LONGEST_STEM].decode("utf-8", "ignore").rstrip("-. ")
    if stem.partition(".")[0].rstrip(" ").lower() in RESERVED_STEMS:
        stem = "_" + stem
    return stem or "unnamed"


def _show(letter: str) -> str:
    if letter.isprintable() or letter in JOINERS or letter in NUMBER_SIGNS:
        return letter
    if letter < " ":
        return chr(0x2400 + ord(letter))
    if letter == "\x7f":
        return "\u2421"
    return _spell(letter) if category(letter) in HIDDEN_CATEGORIES else letter


def _spell(letter: str) -> str:
    return f"\\u{{{ord(letter):04X}}}"


def _fit_xml(letter: str) -> str:
    if letter in "\t\n\r":
        return letter
    if letter < " " or letter == "\x7f":
        return _show(letter)
    illegal = "\x80" <= letter <= "\x9f" or "\ud800" <= letter <= "\udfff"
    return _spell(letter) if illegal or ord(letter) & 0xFFFE == 0xFFFE else letter


def _escape_byte(byte: int) -> str:
    letter = chr(byte)
    if letter in '"\\?':
        return "\\" + letter
    return letter if 0x20 <= byte < 0x7F else f"\\{byte:03o}"


_C_ESCAPES = tuple([_escape_byte(byte) for byte in range(256)])


def _fit_dxf(letter: str, has_percent_codes: bool) -> str:
    if letter in "^\\" or (letter == "%" and has_percent_codes):
        return f"\\U+{ord(letter):04X}"
    if letter < "\x7f":
        return letter
    pairs = letter.encode("utf-16-be")
    return "".join([f"\\U+{pairs[at : at + 2].hex().upper()}" for at in range(0, len(pairs), 2)])


def _fit_file_name(letter: str) -> str:
    if letter.isspace() or letter in '<>:"/\\|?*':
        return " "
    return " " if category(letter) in HIDDEN_CATEGORIES else letter
