"""Where do elements of coaxial line resonate, what do they carry, and how do they couple?"""
