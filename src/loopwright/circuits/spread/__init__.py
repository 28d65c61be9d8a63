"""What stray parts, places and loads do: slopes, draws, families."""
