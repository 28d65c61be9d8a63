"""What all stages stand on: constants, units, sources, errors, progress and stores of finished pieces."""
