"""The colours of contact sheets and other pictures: a warm board, ink a little softer than black, one accent.

Where outlines of several sorts have to be told apart there are two more, as dark as the accent.
"""

BOARD = "#f7f2e8"
INK = "#3a322b"
PALE_INK = "#857868"
RULE = "#d9cfbd"
FINE_RULE = "#e9e0ce"  # between rules; every fifth line of a grid is a rule
ACCENT = "#a8562f"
SECOND = "#2f7a5b"
THIRD = "#2c5d94"
SHADOW = (58, 46, 34)
SHADOW_OPACITY = 0.30
SHADOW_BLUR = 3.2  # units, as are the next
SHADOW_DROP = 2.0
PALE_OPACITY = 0.45  # of an element that is likely not wanted
