"""The topics of a brief, one file each: its keys, its rules and how its record is built."""
