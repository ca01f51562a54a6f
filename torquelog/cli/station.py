"""`station`: its rules, and the other stations it knows."""

from typing import TYPE_CHECKING, Final

import click

from torquelog.cli import words
from torquelog.cli.answer import Answer, Json
from torquelog.cli.command import Example, command
from torquelog.cli.context import Context
from torquelog.cli.signing import by_passphrase, open_for

if TYPE_CHECKING:
    from torquelog.quality.station import Shown

MEANINGS: Final = {
    "due-through": ("A tool may be used through", "its due {}"),
    "shift-hours": ("A sign-in lasts", "{} hours"),
    "idle-minutes": ("and ends unused after", "{} minutes"),
    "gap-hours": ("The clock is asked about after", "{} hours without an entry"),
    "late-minutes": ("Work is called late after", "{} minutes"),
    "accuracy-share": ("The wrench's accuracy is remarked on from", "{} % of the limits"),
    "reliability-percent": ("Intervals are advised so that", "{} % of the tools come back good"),
    "hands-seconds": ("Two readings closer than hands allow:", "within {} seconds"),
    "burst-count": ("Signatures in a burst:", "{} or more of one inspector"),
    "burst-minutes": ("and that within", "{} minutes"),
    "inspection-minutes": ("An inspection is asked about", "within {} minutes of the work"),
    "places-minutes": ("One wrench in two places is asked about", "within {} minutes"),
    "review-late-hours": ("An entry is asked about", "more than {} hours after the work"),
}
"""How each rule is said."""


@command("show", short="Show the station and its rules.", examples=(Example("torquelog station show"),))
def show(context: Context) -> Answer:
    """The identity is the digest of the first entry. It stands on sheets and checkpoints, and no two records have
    the same one.
    """
    from torquelog.ledger.form import reference
    from torquelog.quality.station import show as act

    with open_for(context, "read") as book:
        found = act(book)
        values = found.rules.values
        facts = [
            (label, text.format(values[rule])) for rule, (label, text) in MEANINGS.items() if rule in values
        ]
        facts += [(rule, value) for rule, value in values.items() if rule not in MEANINGS]
        head = f"{reference(book.station, found.head)}, {words.day_and_time(found.recorded, book.zone)}"
        return Answer(
            headline=f"{book.station}, {words.city(book.zone)}.",
            facts=(
                *facts,
                ("Entries are kept", "for good; nothing is ever purged"),
                ("The record stands at", head),
                ("Its identity", book.identity),
                *others(found),
            ),
            next=("torquelog station set RULE VALUE   by quality, from then on",),
            data=data(found),
        )


def others(found: "Shown") -> list[tuple[str, str]]:
    """What is held of other stations, a line each."""
    return [
        (
            f"Held of {station.code}",
            f"{words.count(through, 'entry')}, " + ("accepted" if accepted else "not accepted"),
        )
        for station, through, accepted in found.held
    ]


def data(found: "Shown") -> dict[str, Json]:
    """The station for programs."""
    return {
        "station": found.station.code,
        "zone": found.station.zone,
        "identity": found.station.identity,
        "rules": dict(found.rules.values),
        "rule_set": str(found.rules.number),
        "entries": found.head,
        "held": [
            {"station": station.code, "identity": station.identity, "through": through, "accepted": accepted}
            for station, through, accepted in found.held
        ],
    }


@command(
    "set",
    short="Set a rule of the station, from now on.",
    examples=(
        Example(
            "torquelog station set due-through month --passphrase-stdin", stdin="nine apples on the wing\n"
        ),
    ),
    passphrase=True,
)
@click.argument("rule", metavar="RULE")
@click.argument("value", metavar="VALUE")
@click.option("--why", metavar="TEXT", help="The reason.")
def set_rule(context: Context, rule: str, value: str, why: str | None) -> Answer:
    """Quality does this. A rule never counts backwards: what was judged before stays as it was.

    due-through day|month, shift-hours, idle-minutes, gap-hours, late-minutes, accuracy-share, reliability-percent,
    and for "torquelog review" hands-seconds, burst-count, burst-minutes, inspection-minutes, places-minutes,
    review-late-hours.
    """
    from torquelog.ledger.text import gate_text
    from torquelog.quality.station import read_rule
    from torquelog.quality.station import set_rule as act

    name = rule.strip().lower()
    meant = read_rule(name, value)
    reason = gate_text(why, "the reason", reason=True) if why else None
    with open_for(context, "write") as book:
        found = act(book, by_passphrase(context, book), name, meant, reason)
        return Answer(
            headline=f"{found.rule} is {found.value} from now on; it was {found.before}. Entry {found.reference}.",
            next=("torquelog station show",),
            data={
                "entry": found.reference,
                "rule": found.rule,
                "before": found.before,
                "value": found.value,
            },
        )


@command(
    "accept",
    short="Let another station's signatures count here.",
    examples=(
        Example(
            "torquelog station accept FAO --why 'identity compared by telephone' --passphrase-stdin",
            stdin="nine apples on the wing\n",
        ),
    ),
    passphrase=True,
)
@click.argument("station", metavar="CODE")
@click.option("--why", metavar="TEXT", required=True, help="What that rests on.")
def accept(context: Context, station: str, why: str) -> Answer:
    """Quality does this, once the other station's record was taken in and its identity was compared with what
    that station says of itself.
    """
    from torquelog.ledger.text import gate_station, gate_text
    from torquelog.quality.station import accept_station

    code, reason = gate_station(station), gate_text(why, "the reason", reason=True)
    with open_for(context, "write") as book:
        found = accept_station(book, by_passphrase(context, book), code, reason)
        return Answer(
            headline=f"The signatures of {found.code} count here from now on. Entry {found.reference}.",
            facts=(("Its identity", found.identity),),
            next=("torquelog station show",),
            data={"entry": found.reference, "station": found.code, "identity": found.identity},
        )
