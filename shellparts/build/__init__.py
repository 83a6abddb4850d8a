"""All stages, once, in order; the output folder; model scripts; strangers' solids."""
