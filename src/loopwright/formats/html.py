"""The dossier as one page that needs nothing else: styles and pictures inside, no request to anywhere."""

from base64 import b64encode

from jinja2 import Environment, PackageLoader, StrictUndefined

from loopwright.dossier import Dossier, Reference
from loopwright.formats.pictures import Picture

__all__ = ["dossier_html"]


def dossier_html(dossier: Dossier, *, pictures: tuple[Picture, ...], references: tuple[Reference, ...]) -> str:
    """Render the page.

    Parameters
    ----------
    dossier : Dossier
        Sections in order.
    pictures : tuple of Picture
        Those that the sections name are embedded, others are left out.
    references : tuple of Reference
        Printed as the last section.
    """
    environment = Environment(
        loader=PackageLoader("loopwright.formats"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.tests["sequence_of_figures"] = lambda value: isinstance(value, tuple)
    return environment.get_template("dossier.html.j2").render(
        dossier=dossier,
        references=references,
        numbers={section.anchor: number for number, section in enumerate(dossier.sections, start=1)},
        pictures={p.name: {"caption": p.caption, "content": b64encode(p.png).decode("ascii")} for p in pictures},
    )
