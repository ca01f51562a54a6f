"""`torquelog recall`: what a tool in doubt tightened, where it is, and what is decided about it."""

from typing import TYPE_CHECKING, Any, Final

import click

from torquelog.book.opening import Book
from torquelog.cli import recall_words, words
from torquelog.cli.answer import Answer, Column, Json, Table
from torquelog.cli.command import Example, command
from torquelog.cli.context import Context
from torquelog.cli.progress import Progress
from torquelog.cli.recall_data import cause_data, listed_data, view_data
from torquelog.cli.signing import by_passphrase, open_for, signed_in
from torquelog.clock import Moment, day_end, day_start, parse_date
from torquelog.errors import TorquelogError
from torquelog.ledger.form import parse_reference
from torquelog.ledger.text import gate_identifier, gate_text

if TYPE_CHECKING:
    from torquelog.book.recall_causes import Cause
    from torquelog.quality.recall_view import Listed, View

TYPED: Final = "nine apples on the wing\n"
EACH = click.option("--each", is_flag=True, help="Every item on a line of its own; a pipe does so by itself.")
WHY = click.option("--why", metavar="TEXT", required=True, help="The reason.")


@command(
    "open",
    short="Open a recall of what a tool, lot or person may have left wrong.",
    examples=(
        Example("torquelog recall open --wrench W-0417", "after it failed its calibration"),
        Example("torquelog recall open --person TK --since 2026-11-01 --until 2026-11-25"),
        Example("torquelog recall open --shop QHR --since 2026-11-01 --until 2026-11-25"),
    ),
)
@click.option("--wrench", metavar="NUMBER", help="Everything that was done with a wrench.")
@click.option("--adapter", metavar="NUMBER", help="Everything that was done through an adapter.")
@click.option("--tester", metavar="NUMBER", help="Everything done with wrenches measured on a tester.")
@click.option("--lot", metavar="LOT", help="Every fastener with hardware of a lot.")
@click.option("--person", metavar="PERSON", help="Everything that a person did.")
@click.option("--card", metavar="CARD", help="Everything that was done by a card.")
@click.option("--shop", metavar="STATION", help="All work of a station on wheels, brakes, …")
@click.option("--revision", metavar="REV", help="By this revision of the card alone.")
@click.option(
    "--calibration", metavar="CERTIFICATE", help="The certificate that it rests on, if not the newest."
)
@click.option(
    "--since", metavar="DATE", help="From the start of this day, instead of the last known good one."
)
@click.option("--until", metavar="DATE", help="Through this day, instead of the day it was out of use.")
@click.option("--why", metavar="TEXT", help="The reason, where nothing on record says it.")
def open_recall(context: Context, /, since: str | None, until: str | None, **given: str | None) -> Answer:
    """Quality opens it. The window begins when the tool was last known to be good and ends when it was out of
    use. Each reading in it is judged by how the tool was found: inside, outside, or nobody can tell. Readings
    of one fastener are one item. Refused and struck entries are looked at, too.
    """
    from torquelog.quality import recall
    from torquelog.quality.recall_scope import Asked

    with open_for(context, "write") as book:
        subject, name = _subject(given)
        start, end = _window(book, since, until)
        asked = Asked(
            subject=subject, name=name, since=start, until=end,
            calibration=gate_text(given["calibration"], "calibration") if given["calibration"] else "",
            revision=gate_text(given["revision"], "revision") if given["revision"] else "",
            why=gate_text(given["why"], "why", reason=True) if given["why"] else "",
        )  # fmt: skip
        found = recall.open_recall(book, signed_in(context, book), asked, Progress(context, "readings"))
        return _answer(
            context, book, found, f"Recall {found.recall.recall} is open", each=not context.is_terminal
        )


def _subject(given: dict[str, str | None]) -> tuple[str, str]:
    named = [
        (each, given[each])
        for each in ("wrench", "adapter", "tester", "lot", "person", "card", "shop")
        if given[each]
    ]
    if len(named) > 1 or (given["revision"] and not given["card"]):
        raise TorquelogError(
            "recall-subject",
            "A recall goes by one thing. Nothing was recorded.",
            hint="One of --wrench, --adapter, --tester, --lot, --person, --card, --shop; --revision goes with --card.",
        )
    if not named:
        return "", ""
    subject, name = named[0]
    text = str(name)
    return subject, gate_text(text, "lot") if subject == "lot" else gate_identifier(text, subject)


def _window(book: Book, since: str | None, until: str | None) -> tuple[Moment | None, Moment | None]:
    start = day_start(parse_date(since), book.zone) if since else None
    end = day_end(parse_date(until), book.zone) - 1 if until else None
    return start, end


@command(
    "show",
    short="Show a recall: each fastener, what it got, and where it is.",
    examples=(Example("torquelog recall show R-1"),),
    csv=True,
)
@click.argument("recall", metavar="RECALL")
@EACH
def show(context: Context, recall: str, each: bool) -> Answer:
    """What flies comes first, and of that the furthest outside. It is asked of the record each time: what is told
    late is in it.
    """
    from torquelog.quality import recall as acts

    with open_for(context, "read") as book:
        found = acts.show(book, gate_identifier(recall, "a recall"), Progress(context, "readings"))
        return _answer(context, book, found, _said(found, book), each=each or not context.is_terminal)


def _said(found: "View", book: Book) -> str:
    opened = words.day(words.local(found.recall.opened, book.zone).date())
    state = {"closed": ", closed", "re-opened": ", re-opened by an entry that came in later"}.get(
        found.state, ""
    )
    return f"Recall {found.recall.recall}, opened {opened} by {found.recall.opened_by}{state}"


def _answer(context: Context, book: Book, found: "View", said: str, *, each: bool) -> Answer:
    counts = found.counts
    undecided = "Nothing is undecided."
    if counts.undecided:
        verb = "is" if counts.undecided == 1 else "are"
        undecided = f"{counts.undecided:,} of {words.count(counts.items, 'fastener')} {verb} undecided."
    facts = [("Of", recall_words.subject_words(found.recall))]
    facts += [("" if place else "Why", text) for place, text in enumerate(_reasons(found))]
    facts.append(("Window", recall_words.window_words(book, found.recall.since, found.recall.until)))
    if found.items:
        facts.append(("All", recall_words.tally(found.items)))
    facts += recall_words.places(found)
    return Answer(
        headline=f"{said}. {undecided}",
        facts=tuple(facts),
        body=tuple(recall_words.sums(found)),
        table=recall_words.table(book, found, each=each),
        next=_next(found),
        data=view_data(book, found),
    )


def _reasons(found: "View") -> list[str]:
    return [*(cause.text for cause in found.causes), *([found.recall.why] if found.recall.why else [])]


def _next(found: "View") -> tuple[str, ...]:
    name = found.recall.recall
    waiting = sorted(each.number for each in found.items if not each.decided)
    if waiting:
        return (
            f"torquelog recall disposition {name} {words.runs(waiting[:1])} --decision DECISION --why REASON",
        )
    return () if found.state == "closed" else (f"torquelog recall close {name}",)


@command(
    "list",
    short="List what calls for a recall, and the recalls on record.",
    examples=(Example("torquelog recall list"),),
    csv=True,
)
def list_recalls(context: Context) -> Answer:
    """A failed calibration, a drop, a loss, a withdrawn certificate or an adapter measured different calls for a
    recall by itself. It stands here until quality opens one, or answers that none is needed.
    """
    from torquelog.quality import recall

    with open_for(context, "read") as book:
        found = recall.list_recalls(book)
        open_ones = [each for each in found.recalls if each.state != "closed"]
        verb = "waits" if len(found.pending) == 1 else "wait"
        said = f"{words.count(len(found.pending), 'thing')} {verb}" if found.pending else "Nothing waits"
        rows = [
            *(_pending_row(book, each) for each in found.pending),
            *(_row(book, each) for each in found.recalls),
        ]
        return Answer(
            headline=f"{said} for a recall. {words.count(len(open_ones), 'recall is', 'recalls are')} open.",
            table=_list_table(book, found.pending, found.recalls, rows) if rows else None,
            next=tuple(_list_next(found.pending, open_ones)),
            data={
                "pending": [cause_data(book, each) for each in found.pending],
                "recalls": [listed_data(book, each) for each in found.recalls],
            },
        )


def _pending_row(book: Book, each: "Cause") -> tuple[str, ...]:
    return (
        each.reference,
        "pending",
        f"{each.sort} {each.tool}",
        recall_words.window_words(book, *each.window),
        "",
        each.text,
    )


def _row(book: Book, each: "Listed") -> tuple[str, ...]:
    recall = each.recall
    return (
        recall.recall if recall.station == book.station else recall.reference,
        each.state,
        recall_words.subject_words(recall),
        recall_words.window_words(book, recall.since, recall.until),
        f"{each.undecided} of {each.items}",
        recall.why,
    )


def _list_table(
    book: Book, pending: tuple["Cause", ...], recalls: tuple["Listed", ...], rows: list[tuple[str, ...]]
) -> Table:
    waiting: list[dict[str, Json]] = [
        {"recall": None, "state": "pending", **cause_data(book, each), "items": None, "undecided": None}
        for each in pending
    ]
    fields = ("recall", "state", "entry", "subject", "name", "window", "items", "undecided")
    every = [*waiting, *(listed_data(book, each) for each in recalls)]
    return Table(
        columns=(
            Column("recall"), Column("state"), Column("of"), Column("window", fold=True),
            Column("undecided", right=True), Column("why", fold=True),
        ),
        rows=tuple(rows),
        records=tuple({name: each[name] for name in fields} for each in every),
    )  # fmt: skip


def _list_next(pending: tuple["Cause", ...], open_ones: list["Listed"]) -> list[str]:
    lines = [f"torquelog recall open --{each.sort} {each.tool}" for each in pending[:1]]
    return lines + [f"torquelog recall show {each.recall.recall}" for each in open_ones[:1]]


@command(
    "disposition",
    short="Decide about items of a recall.",
    examples=(
        Example(
            "torquelog recall disposition R-1 1 --decision accepted --reference EO-EX-31 --why 'found good' "
            "--passphrase-stdin",
            "one item, or a range as 1-12",
            stdin=TYPED,
        ),
    ),
    passphrase=True,
)
@click.argument("recall", metavar="RECALL")
@click.argument("items", metavar="[ITEM|FROM-TO]", required=False)
@click.option("--aircraft", metavar="REG", help="Instead of items: all undecided ones on this aircraft.")
@click.option("--decision", metavar="WORD", required=True, help="What is decided; the words stand above.")
@WHY
@click.option("--reading", metavar="ENTRY", help="The reading that tightened it again.")
@click.option("--reference", metavar="TEXT", help="The approved data, or the letter, behind it.")
def disposition(context: Context, /, recall: str, items: str | None, decision: str, **given: Any) -> Answer:
    """WORD is accepted, re-tightened, replaced, not-affected, removed-from-service, scrapped or notified. Accepting
    what is not known to be inside takes its approved data; tightening again never answers a torque above the
    limits; a notice decides nothing before its answer. Quality signs by passphrase.
    """
    from torquelog.quality import recall as acts
    from torquelog.rules.disposition import chosen, known

    known(word := decision.strip().lower())
    name, why = gate_identifier(recall, "a recall"), gate_text(given["why"], "why", reason=True)
    if bool(items) == bool(given["aircraft"]):
        raise TorquelogError(
            "needs-option", "Which items? Nothing was recorded.", hint="Name items, as 1-12, or --aircraft."
        )
    numbers = chosen(items) if items else []
    reading = given["reading"].strip().upper() if given["reading"] else ""
    if reading:
        parse_reference(reading)
    with open_for(context, "write") as book:
        done = acts.decide(
            book, by_passphrase(context, book), name, word, why, items=numbers,
            on=given["aircraft"] or "", reading=reading,
            document=gate_text(given["reference"], "reference") if given["reference"] else "",
        )  # fmt: skip
        decided = [each.number for each in done.items]
        left = done.view.counts.undecided
        rest = f"{words.count(left, 'item is', 'items are')} undecided." if left else "Nothing is undecided."
        return Answer(
            headline=f"{words.count(len(decided), 'item')} of {name}: {done.decision.replace('-', ' ')}. {rest}",
            facts=(("Items", words.runs(decided)), ("On record", done.entry)),
            next=_next(done.view),
            data={
                "entry": done.entry,
                "recall": name,
                "decision": done.decision,
                "items": decided,
                "undecided": left,
            },
        )


@command(
    "close",
    short="Close a recall on which everything is decided.",
    examples=(
        Example(
            "torquelog recall close R-1 --passphrase-stdin",
            "here an item is undecided",
            exit=3,
            stdin=TYPED,
        ),
    ),
    passphrase=True,
)
@click.argument("recall", metavar="RECALL")
@click.option("--why", metavar="TEXT", help="What is to be said beside it.")
def close(context: Context, recall: str, why: str | None) -> Answer:
    """Its counts are frozen. An entry that falls into its window later opens it again. Quality signs by passphrase."""
    from torquelog.quality import recall as acts

    name = gate_identifier(recall, "a recall")
    with open_for(context, "write") as book:
        said = gate_text(why, "why", reason=True) if why else ""
        found = acts.close(book, by_passphrase(context, book), name, said)
        counts = found.counts
        return Answer(
            headline=f"Recall {name} is closed: {words.count(counts.items, 'fastener')}, every one decided.",
            facts=(("Found", recall_words.tally(found.items) or "nothing"),),
            data=view_data(book, found),
        )


@command(
    "answer",
    short="Answer that something which calls for a recall needs none.",
    examples=(
        Example(
            "torquelog recall answer QHR-000002 --why 'dropped in the crib, never used since' --passphrase-stdin",
            "here that entry calls for none",
            exit=2,
            stdin=TYPED,
        ),
    ),
    passphrase=True,
)
@click.argument("entry", metavar="ENTRY")
@WHY
def answer(context: Context, entry: str, why: str) -> Answer:
    """ENTRY stands in `torquelog recall list`. Quality signs by passphrase."""
    from torquelog.quality import recall

    name, reason = entry.strip().upper(), gate_text(why, "why", reason=True)
    parse_reference(name)
    with open_for(context, "write") as book:
        done = recall.answer(book, by_passphrase(context, book), name, reason)
        return Answer(
            headline=f"{name} is answered: no recall is needed. On record as {done.entry}.",
            facts=(("What it was", done.cause.text),),
            data={"entry": done.entry, "answered": name},
        )
