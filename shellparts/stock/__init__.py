"""Cloth on stock: pieces laid on sheets or a roll, with quantities, mass and cost.

Glossary: *stock* is cloth as it is sold (`table`); a *piece* is cut along its cutting line; a *layout* says where
each copy lies (`layout`), and is checked before it is shown (`verify`). It is found by rules of the hand (`hand`), a
plain skyline engine (`skyline`) and an irregular packer in a process of its own (`packer`), on a roll (`roll`) or on
sheets (`sheets`, `sheet_search`, `cutting_patterns`). What fits nothing is named with the join that helps (`joins`).
Then come the `results`, `quantities` and `materials`. The stage knows no geometry kernel, draws nothing, and decides
nothing about seams.
"""
