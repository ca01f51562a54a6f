"""How fasteners are named to people: typed `tie-bolt:7`, said "tie bolt 7", several "tie bolts 3 to 7 and 9"."""

from collections.abc import Iterable


def fastener_name(group: str, item: int) -> str:
    """One fastener, as people say it: `tie-bolt`, 7 → "tie bolt 7"."""
    return f"{group.replace('-', ' ')} {item}"


def runs(items: Iterable[int]) -> list[tuple[int, int]]:
    """Consecutive numbers folded: 1, 2, 3, 7 → (1, 3), (7, 7)."""
    folded: list[tuple[int, int]] = []
    for item in sorted(set(items)):
        if folded and folded[-1][1] == item - 1:
            folded[-1] = (folded[-1][0], item)
        else:
            folded.append((item, item))
    return folded


def fasteners_name(group: str, items: Iterable[int]) -> str:
    """Several fasteners of one group: "tie bolts 3 to 7 and 9"; one: "tie bolt 7"."""
    folded = runs(items)
    words = [str(first) if first == last else f"{first} to {last}" for first, last in folded]
    plural = "" if len(folded) == 1 and folded[0][0] == folded[0][1] else "s"
    joined = words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}"
    return f"{group.replace('-', ' ')}{plural} {joined}"
