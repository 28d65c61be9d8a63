"""How do the results reach the disk, and come back from it?

The only readers and writers of files: pieces of computations, Touchstone networks, netCDF maps, CSV tables, the
summary, pictures and the dossier as page and in pages, gathered in a run directory that is whole or not there.

The modules are imported one by one (``from loopwright.formats.store import FolderStore``): each brings its own heavy
library, and nobody should wait for all of them in order to use one.
"""

__all__: list[str] = []
