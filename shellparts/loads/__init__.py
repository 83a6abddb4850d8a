"""Will it stand up, stay down and stay breathable: air, cloth, wind and people as plain functions with
sources.

Start with `shellparts.loads.verdict.assess`; each formula stands in the module of its idea. This stage does
not know any geometry kernel.
"""

__all__: list[str] = []
