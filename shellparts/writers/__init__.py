"""Writers: one file format each. They take what the stages give and decide nothing.

Glossary: a *drawing* is a list of strokes and labels on named layers, in millimetres; DXF and SVG are written
from the same one. The same input gives the same bytes.
"""
