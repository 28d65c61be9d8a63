"""What has to hold between the keys of a circuit, and between it and the gaps of the array."""

import re
from collections.abc import Iterator

from loopwright.brief.forms import Draft, Rule, Trouble
from loopwright.brief.records.circuit import CapacitorPart, PartRequest
from loopwright.brief.topics.facts import Facts
from loopwright.ground.nets import Net, Tie, net_complaints

__all__ = ["enough_gaps", "gaps_agree", "net_is_whole", "own_is_trimmed", "something_is_free", "trimmed_is_ready"]

_AT_A_GAP = re.compile(r"(?:gap|return) (\d+)")


def enough_gaps(facts: Facts, needed: int, what: str) -> Rule:
    """Refuse a ready wiring for which an element has too few gaps."""

    def rule(draft: Draft) -> Iterator[Trouble]:
        protection = draft.get("protection")
        if "protection" in draft.written and protection is None:
            return
        wanted = needed + len(protection or ())
        if facts.least_gaps is not None and facts.least_gaps < wanted:
            yield Trouble(
                key="wiring",
                found=f"a wiring of {wanted} gaps or more for an element of {facts.least_gaps}",
                allowed=f"elements with {wanted} gaps or more: {what}",
                remedy=f"write `gaps: {wanted}` in the array, or choose another wiring",
            )

    return rule


def _ties(parts: tuple[PartRequest, ...]) -> list[Tie]:
    return [
        Tie(name=part.name, pairs=(part.between,) if part.far is None else (part.between, part.far)) for part in parts
    ]


def _gaps_in(draft: Draft) -> set[int]:
    """Gaps that the parts and the receiver name."""
    pairs = [pair for tie in _ties(draft.get("parts") or ()) for pair in tie.pairs]
    nodes = [node for pair in (*pairs, draft.get("receiver") or ()) for node in pair]
    return {int(found.group(1)) for node in nodes if (found := _AT_A_GAP.fullmatch(node))}


def gaps_agree(facts: Facts) -> Rule:
    """Refuse gaps that an element does not have, and gaps that no part closes."""

    def rule(draft: Draft) -> Iterator[Trouble]:
        least, most = facts.least_gaps, facts.most_gaps
        if least is None or most is None or not draft.get("parts"):
            return
        named = _gaps_in(draft)
        unknown = sorted(gap for gap in named if not 1 <= gap <= least)
        if unknown:
            yield Trouble(
                key="parts",
                found=f"gap {', '.join(str(gap) for gap in unknown)} of an element with {least}",
                allowed=f"gap 1 to gap {least}",
                remedy="count the gaps from one, or write more `gaps` in the array",
            )
        left = sorted(set(range(1, most + 1)) - named)
        if left:
            yield Trouble(
                key="parts",
                found=f"no part at gap {', '.join(str(gap) for gap in left)}",
                allowed="a part across every gap: no current passes an open one",
                remedy=f"add for example a capacitor `between: [gap {left[0]}, return {left[0]}]`",
            )

    return rule


def net_is_whole(draft: Draft) -> Iterator[Trouble]:
    """Refuse what cannot be solved: floating nodes, parts across themselves, gaps that parts join."""
    parts, receiver = draft.get("parts"), draft.get("receiver")
    if not parts or receiver is None or ("returns" in draft.written and draft.get("returns") is None):
        return
    gaps = _gaps_in(draft)
    if not gaps or not 1 <= max(gaps) <= 64 or min(gaps) < 1:
        yield from () if gaps else (_no_gap(),)
        return
    net = Net(gap_count=max(gaps), ties=_ties(parts), channel=receiver, returns=draft.get("returns") or ())
    for sentence in net_complaints(net):
        key, allowed, remedy = _put_right(sentence)
        yield Trouble(key=key, found=sentence, allowed=allowed, remedy=remedy)


def _put_right(sentence: str) -> tuple[str, str, str]:
    """Key, what is allowed and remedy for a sentence about the net."""
    if sentence.startswith("the receiver"):
        return "receiver", "a node against a return", "write for example `receiver: [feed, return 1]`"
    if sentence.endswith("at one node"):
        return "parts", "two nodes, one for each end", "write another node for one of its ends"
    if "are joined" in sentence:
        allowed = "one return in every group of nodes that hang together"
        return "parts", allowed, "take the part between them out, or put a line in its place"
    slip = "look at the names of the nodes: a slip of the pen makes a node of its own"
    if "only" in sentence and sentence.endswith("passes through it"):
        return "parts", "nodes at which two ends meet, or more", slip
    line = "; the far end of a line gets a return of its own by `returns`"
    return "parts", "nodes that all hang on a return", slip + line


def _no_gap() -> Trouble:
    return Trouble(
        key="parts",
        found="no part at a gap of the conductor",
        allowed="parts between `gap k` and `return k`",
        remedy="join the circuit to the element, for example `between: [gap 1, return 1]`",
    )


def something_is_free(draft: Draft) -> Iterator[Trouble]:
    """Refuse a list without parts, and a match that is asked for where nothing may change."""
    parts = draft.get("parts")
    if parts == ():
        yield Trouble(key="parts", found="a list of 0", allowed="one part or more", remedy="add a part")
        return
    free = sum(part.is_free for part in parts or ())
    if free == 1 or (parts and not free and draft.get("seen_resistance") is not None):
        yield Trouble(
            key="parts",
            found=f"{free or 'no'} part with `value: free`",
            allowed="two or more for a match: a resistance and a reactance are to be met; or none, and no "
            "`seen_resistance`",
            remedy="write `value: free` for another capacitor or inductor",
        )


def trimmed_is_ready(facts: Facts) -> Rule:
    """Refuse trimmers that a ready wiring does not have; the capacitor of a trap belongs to its inductor."""

    def rule(draft: Draft) -> Iterator[Trouble]:
        if "protection" in draft.written and draft.get("protection") is None:
            return
        if facts.most_gaps is None:
            return
        first, last = 2 + len(draft.get("protection") or ()), facts.most_gaps
        yield from _trimmed_among(draft, ("C match", *(f"C tune {gap}" for gap in range(first, last + 1))))

    return rule


def own_is_trimmed(draft: Draft) -> Iterator[Trouble]:
    """Refuse trimmers that are no capacitors of the wiring."""
    parts = draft.get("parts") or ()
    yield from _trimmed_among(draft, tuple(part.name for part in parts if isinstance(part.what, CapacitorPart)))


def _trimmed_among(draft: Draft, known: tuple[str, ...]) -> Iterator[Trouble]:
    strange = [name for name in draft.get("trimmed") or () if name not in known]
    if strange and known:
        yield Trouble(
            key="trimmed",
            found=", ".join(strange),
            allowed=f"capacitors of the wiring by name: {', '.join(known)}",
            remedy="write a name as the wiring has it, or leave `trimmed` out",
        )
