"""Labelled kit pages composed from art that others drew, and the scoring of a split against them.

Pages are 300 pixels per inch. A page's pixels have their origin at its top left corner, x right and y down;
boxes are half-open. Every random choice comes from the page's own generator, seeded by family and number.
"""
