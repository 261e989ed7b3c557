"""Draws the demo kit "Lantern Orchard": paper, ink, type, motifs and the four pages.

Every picture here is made by this package alone. Coordinates are pixels at 300 pixels per inch, x right and
y down; colours are RGB from 0 to 1; every random choice comes from a seeded generator.
"""
