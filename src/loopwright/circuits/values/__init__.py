"""Values of parts: found for the whole array, then those that can be bought."""
