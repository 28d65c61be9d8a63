"""The array tuned and matched without loss, element by element: what every run tells without a circuit."""
