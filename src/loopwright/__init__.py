"""Design and verification of close-fitting receive-coil arrays for magnetic resonance imaging.

The folders are the stages of the job in the order in which it flows; read :mod:`loopwright.job` first.
"""

__version__ = "0.1.0"
