"""The colours of a contact sheet: a warm board, ink a little softer than black, one accent."""

BOARD = "#f7f2e8"
INK = "#3a322b"
PALE_INK = "#857868"
RULE = "#d9cfbd"
ACCENT = "#a8562f"
SHADOW = (58, 46, 34)
SHADOW_OPACITY = 0.30
SHADOW_BLUR = 3.2  # units, as are the next
SHADOW_DROP = 2.0
PALE_OPACITY = 0.45  # of an element that is likely not wanted
