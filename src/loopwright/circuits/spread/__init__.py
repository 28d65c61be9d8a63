"""What do stray values, places, loads and bends do: slopes, draws, families, first turns?"""
