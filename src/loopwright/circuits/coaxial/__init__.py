"""Elements of coaxial line: where they resonate, what they carry, how they couple."""
