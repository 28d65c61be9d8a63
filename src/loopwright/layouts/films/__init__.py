"""How does a film that bends but does not stretch lie on a body, how far off it, and where must it be slit?"""
