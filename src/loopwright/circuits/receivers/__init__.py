"""What noise do parts and preamplifiers add in the coupled array, and which receiving patterns result?"""
