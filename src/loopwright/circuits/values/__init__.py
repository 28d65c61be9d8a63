"""Which values of parts serve the whole array, and which of them can be bought?"""
