"""What has to be said wherever limits are held against computed values."""

from dataclasses import dataclass

__all__ = ["CAUTIONS", "Caution"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Caution:
    """A sentence to be printed, and why it is."""

    sentence: str
    why: str


#: In the order in which they are printed: who decides, what the limits are worth, what was left out.
CAUTIONS = (
    Caution(
        sentence="This is a calculation, not an approval: whether an array may be connected to a scanner or worn by a "
        "person is for the standards that apply, the maker of the scanner, the MR safety expert of the site, the "
        "regulator, the ethics board and the persons who are licensed to decide it.",
        why="A limit that is met in a model is one piece of evidence among those that they ask for.",
    ),
    Caution(
        sentence="Nobody should lie in the array before temperatures were measured on the built one, in every state "
        "and with every seeded fault, at the places that are named here and at others.",
        why="A model finds hot spots only among the parts that it was told of.",
    ),
    Caution(
        sentence="Met means that the whole interval of the value keeps the limit, for the one body, place and sequence "
        "that were computed; not assessed is no better than not met.",
        why="Another patient, another landmark in the bore or another sequence gives other values.",
    ),
    Caution(
        sentence="Limits of surface temperature are those of adults' skin. A child's is thinner and bears less, that "
        "of a newborn least, and who is sedated or cannot speak does not complain.",
        why="The tables of IEC 60601-1 were made for adults; what children bear is for those who care for them.",
    ),
    Caution(
        sentence="Limits from memory and those of common practice are named so: look each up in the edition that is in "
        "force before anybody relies on it.",
        why="Standards are sold, change from edition to edition, and could not all be read.",
    ),
    Caution(
        sentence="Local SAR is told as a ratio with and without the array, and no verdict rests on it.",
        why="Limits of local SAR belong to local transmit coils; of a receive array temperature and global SAR count.",
    ),
    Caution(
        sentence="The energy that a patient takes up in all, and how warm the core gets, are held against no limit.",
        why="Limits of SAR are means over six minutes; long scans one after another, fever and warm rooms add up.",
    ),
    Caution(
        sentence="SAR that a scanner prints may be off by a factor of two: measure B1+ rms or power by yourself.",
        why="One study found what scanners print off by up to 2.2 times [elsharkawy2012].",
    ),
    Caution(
        sentence="Currents on cables, their loops, their contact with skin, and cable traps are not computed.",
        why="Cables are not part of the layout, and burns from cables are among those that are reported.",
    ),
    Caution(
        sentence="Heating by switched gradients, in copper areas, capacitor plates and diodes, is not computed.",
        why="It needs the gradient coil's field and the sequence's gradients, which the brief does not hold.",
    ),
    Caution(
        sentence="One thing at a time is wrong in every fault. Two at once, a fault that nobody noticed followed by "
        "another, are not computed.",
        why="IEC 60601-1 asks for single faults; one that nothing notices counts as there, so look at the second, too.",
    ),
    Caution(
        sentence="The scanner's resonator is the one that the brief describes. Its tuning, its reaction to the array "
        "and the power limits of the scanner are not those of yours until you compare them.",
        why="The current of the idealised resonator is held whatever lies in it.",
    ),
    Caution(
        sentence="Skin that touches skin, metal in or on the patient, implants, wet hair and clothing with metal "
        "threads are not in the model.",
        why="Each of them makes burns of its own, with or without an array.",
    ),
)
