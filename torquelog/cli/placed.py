"""What was done with an assembly, as people and programs are told."""

from typing import TYPE_CHECKING

from torquelog.cli import words
from torquelog.cli.answer import Answer, Json, Remark
from torquelog.cli.places import assembly_data, assembly_text, bears, moment_text, place_data, place_text

if TYPE_CHECKING:
    from torquelog.book.opening import Book
    from torquelog.facts.assemblies import Placement
    from torquelog.work.assemblies import Placed


def placed(book: "Book", done: "Placed") -> Answer:
    """The answer to anything that was done with an assembly."""
    at = words.day_and_time(done.at, book.zone)
    after, before = (place_text(book.connection, place) for place in (done.after, done.before))
    facts = [("Where", after)] if done.act in ("hold", "release") else [("Now", after), ("Before", before)]
    facts += [("Taken off", assembly_text(each)) for each in done.replaced]
    facts += [("On record", f"{done.reference}, {at}")]
    return Answer(
        headline=headline(book, done),
        facts=tuple(facts),
        remarks=tuple(later_remarks(book, done)),
        next=(f"torquelog assembly show {done.assembly.serial}",),
        data={
            "entry": done.reference,
            "act": done.act,
            **assembly_data(done.assembly),
            "at": moment_text(book, done.at),
            "before": place_data(book.connection, done.before, book.zone),
            "after": place_data(book.connection, done.after, book.zone),
            "replaced": [assembly_data(each) for each in done.replaced],
        },
    )


def headline(book: "Book", done: "Placed") -> str:
    """What was done, as a sentence: "Wheel WH-2231 is fitted to QQ-HLB, main 2."."""
    name = words.sentence(assembly_text(done.assembly))
    on = f"{done.registration}, {done.position}"
    said = {
        "fit": f"is fitted to {on}",
        "remove": f"is off {on}",
        "move": f"is {place_text(book.connection, done.after)}",
        "hold": "is held back: it is not fitted until somebody releases it",
        "release": "is released",
        "take-apart": "is taken apart: nothing on it counts as tight from then on",
    }[done.act]
    return f"{name} {said.replace('is ', 'was ', 1) if done.later else said}."


def later_remarks(book: "Book", done: "Placed") -> list[Remark]:
    """What is on record after a time that was told late."""
    if not done.later:
        return []
    said = "; ".join(
        f"{told(book, each)} {words.day_and_time(each.at, book.zone)}" for each in done.later[:3]
    )
    more = f" and {len(done.later) - 3} more" if len(done.later) > 3 else ""
    return [Remark("told-late", f"On record after that time already: {said}{more}.")]


def told(book: "Book", each: "Placement") -> str:
    """One placement in words: "fitted to QQ-HLB, main 2"."""
    on = f"{bears(book.connection, each.aircraft, each.at)}, {each.position}" if each.aircraft else ""
    to = f" to {each.destination}" if each.destination else ""
    return {
        "fit": f"fitted to {on}",
        "remove": f"taken off {on}{to}" if on else f"taken off{to}",
        "move": f"moved{to}",
        "take-apart": "taken apart",
        "hold": "held back",
        "release": "released",
    }[each.act]


def placement_data(book: "Book", each: "Placement") -> dict[str, Json]:
    """One placement for programs."""
    return {
        "entry": f"{each.station}-{each.number:06d}",
        "act": each.act,
        "at": moment_text(book, each.at),
        "registration": bears(book.connection, each.aircraft, each.at) if each.aircraft else None,
        "msn": each.aircraft,
        "position": each.position,
        "to": each.destination,
        "why": each.why,
    }
