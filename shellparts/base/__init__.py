"""What every stage may use: units, errors, checks of values, tolerances, progress. It knows nothing of rooms."""
