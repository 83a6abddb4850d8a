"""Numbers turned into words: warnings, advice, the list of materials, records."""
