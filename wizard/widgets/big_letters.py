"""Letters of five dots in height, to be read from across a bench where the window has the room."""

from __future__ import annotations

from wizard.widgets.marks import Marks

# One letter is five rows, top first, parted by spaces; "#" is ink.
_SHAPES: dict[str, str] = {
    "A": ".#. #.# ### #.# #.#",
    "B": "##. #.# ##. #.# ##.",
    "C": ".## #.. #.. #.. .##",
    "D": "##. #.# #.# #.# ##.",
    "E": "### #.. ##. #.. ###",
    "F": "### #.. ##. #.. #..",
    "G": ".### #... #.## #..# .###",
    "H": "#.# #.# ### #.# #.#",
    "I": "# # # # #",
    "J": "..# ..# ..# #.# .#.",
    "K": "#.# #.# ##. #.# #.#",
    "L": "#.. #.. #.. #.. ###",
    "M": "#...# ##.## #.#.# #...# #...#",
    "N": "#..# ##.# #.## #..# #..#",
    "O": ".#. #.# #.# #.# .#.",
    "P": "##. #.# ##. #.. #..",
    "Q": ".##. #..# #..# #.#. .#.#",
    "R": "##. #.# ##. #.# #.#",
    "S": ".## #.. .#. ..# ##.",
    "T": "### .#. .#. .#. .#.",
    "U": "#.# #.# #.# #.# ###",
    "V": "#.# #.# #.# #.# .#.",
    "W": "#...# #...# #.#.# ##.## #...#",
    "X": "#.# #.# .#. #.# #.#",
    "Y": "#.# #.# .#. .#. .#.",
    "Z": "### ..# .#. #.. ###",
    "0": "### #.# #.# #.# ###",
    "1": ".# ## .# .# .#",
    "2": "##. ..# .#. #.. ###",
    "3": "##. ..# .#. ..# ##.",
    "4": "#.# #.# ### ..# ..#",
    "5": "### #.. ##. ..# ##.",
    "6": ".## #.. ### #.# ###",
    "7": "### ..# .#. .#. .#.",
    "8": "### #.# ### #.# ###",
    "9": "### #.# ### ..# ##.",
    ".": ". . . . #",
    ",": ".. .. .. .# #.",
    ":": ". # . # .",
    ";": ".. .# .. .# #.",
    "-": "... ... ### ... ...",
    "+": "... .#. ### .#. ...",
    "/": "..# ..# .#. #.. #..",
    "'": "# # . . .",
    "?": "##. ..# .#. ... .#.",
    "!": "# # # . #",
    "(": ".# #. #. #. .#",
    ")": "#. .# .# .# #.",
    "=": "... ### ... ### ...",
    "%": "#.# ..# .#. #.. #.#",
    "°": "### #.# ### ... ...",
    " ": ".. .. .. .. ..",
}
ROWS_A_LINE = 3


def known(text: str) -> bool:
    """Whether every character of `text` has a shape."""
    return all(character in _SHAPES for character in text.upper())


def width(text: str) -> int:
    """Columns that `text` takes, one blank column after each letter but the last."""
    return max(sum(len(_SHAPES[c].split()[0]) + 1 for c in text.upper()) - 1, 0)


def fold(text: str, columns: int) -> list[str] | None:
    """Return `text` broken between words into as few lines as fit, all about as long.

    None where a word is too long or a character has no shape.
    """
    if not known(text) or not text.strip():
        return None
    lines = _filled(text.split(), columns)
    if lines is None:
        return None
    while columns > 1:
        tighter = _filled(text.split(), columns - 1)
        if tighter is None or len(tighter) > len(lines):
            break
        lines, columns = tighter, columns - 1
    return lines


def _filled(words: list[str], columns: int) -> list[str] | None:
    """Return the words in lines as full as they get; None where a word is too long."""
    lines: list[str] = []
    for word in words:
        joined = f"{lines[-1]} {word}" if lines else word
        if width(word) > columns:
            return None
        if lines and width(joined) <= columns:
            lines[-1] = joined
        else:
            lines.append(word)
    return lines


def draw(line: str, marks: Marks) -> list[str]:
    """Return the three rows of half blocks that spell `line`."""
    rows = ["", "", "", "", "", ""]
    for character in line.upper():
        shape = [*_SHAPES[character].split(), ""]
        wide = len(shape[0])
        for index, dots in enumerate(shape):
            rows[index] += dots.ljust(wide, ".") + "."
    return [_half_blocks(rows[2 * i], rows[2 * i + 1], marks).rstrip() for i in range(ROWS_A_LINE)]


def _half_blocks(upper: str, lower: str, marks: Marks) -> str:
    glyphs = {"..": " ", "#.": marks.upper, ".#": marks.lower, "##": marks.full}
    return "".join(glyphs[pair] for pair in map("".join, zip(upper, lower, strict=True)))
