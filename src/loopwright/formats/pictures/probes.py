"""The array with its hot spots, and where the probes go."""

from loopwright.dossier import LayoutEvidence, MapSet
from loopwright.formats.pictures.layouts import Mark, layout_views
from loopwright.formats.pictures.style import Picture, png
from loopwright.limits import WhileTransmitting

__all__ = ["probes_picture"]


def probes_picture(told: WhileTransmitting, layout: LayoutEvidence, maps: MapSet) -> Picture:
    """Draw the centre-lines of the elements, a cross on each hot spot and a numbered disc where a probe goes."""
    probes = () if told.probes is None else told.probes.probes
    marks = [Mark(at_m=hot.position_m, label="") for hot in told.hot_places]
    marks += [Mark(at_m=probe.place.position_m, label=str(number)) for number, probe in enumerate(probes, start=1)]
    figure = layout_views(layout, maps, marks=tuple(marks))
    return Picture(
        name="transmit_probes",
        caption="Hot spots (crosses) and probes (numbered discs) on the array, over the outline of the body. Pale: "
        "what lies on the far side of a view. The reference probe has no place here: it goes where nothing is heated.",
        png=png(figure),
    )
