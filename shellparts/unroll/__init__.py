"""Lay faces flat, exactly: flat outlines of developable faces, each with a certificate.

Glossary: a face is *developable* when it can be laid flat without stretch (planes, cylinders, cones, and
every ruled surface with one tangent plane along each ruling); its *outline* is the flat boundary; a *fold* is
an edge between two faces of one outline; a *joint* is an edge where a closed tube is cut open.

The data (`Outline` and what it is made of) need numpy only; the functions that read faces load the geometry
kernel when they are first asked for. This package knows nothing of cloth, allowances or drawings.
"""

import lazy_loader

__getattr__, __dir__, __all__ = lazy_loader.attach_stub(__name__, __file__)
