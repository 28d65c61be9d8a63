"""The command line: the job asked for in one line, its progress told, its result named.

No physics here. Nothing heavy is imported before a command needs it.
"""

from loopwright.cli.app import main

__all__ = ["main"]
