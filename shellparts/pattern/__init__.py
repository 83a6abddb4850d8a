"""Cloth pieces: sewing line, cutting line, notches, stations, seams. No kernel.

Glossary: the *sewing line* is the flat outline; the *cutting line* lies outside it by the *allowance* of each
edge; a *run* is a stretch of a piece's boundary that is treated as one edge; a *notch* marks points of two
edges that meet; a *station* is a row of the table from which a template is marked out with a tape. A *sheet*
is one cloth part of the room; sheets that are cut alike are one *piece* with a count.
"""
