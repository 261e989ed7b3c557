"""Make-lists: the TOML file that says which pieces to make, how large, on what.

`makelist` is the noun, `reading` reads it, `editing` changes and writes it.
"""

from kitprep.files.makelist.editing import (
    add_piece,
    change_piece,
    makelist_text,
    remove_piece,
    write_makelist,
)
from kitprep.files.makelist.makelist import DEFAULT_BLEED, DEFAULT_MISREGISTRATION, MakeList
from kitprep.files.makelist.reading import (
    MOST_COPIES,
    parse_makelist,
    piece_from_text,
    read_makelist,
)

__all__ = [
    "DEFAULT_BLEED",
    "DEFAULT_MISREGISTRATION",
    "MOST_COPIES",
    "MakeList",
    "add_piece",
    "change_piece",
    "makelist_text",
    "parse_makelist",
    "piece_from_text",
    "read_makelist",
    "remove_piece",
    "write_makelist",
]
