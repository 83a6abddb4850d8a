"""Cloth on stock: pieces laid on sheets or a roll, with quantities, mass and cost.

Glossary: *stock* is cloth as it is sold (`cloth`, `table`); a *piece* is cut along its cutting line
(`pieces`); a *layout* says where each copy lies (`layout`), and is checked before it is shown (`verify`). It
is found by rules of the hand (`hand`), a plain skyline engine (`rows`) and an irregular packer in a process of
its own (`packer`), on a roll (`roll`) or on sheets (`sheets`, `patterns`). What fits nothing is named with
the join that helps (`joins`). Then come `quantities`, `notions`, `materials` and the `summary`. The stage
knows no geometry kernel, draws nothing, and decides nothing about seams.
"""
