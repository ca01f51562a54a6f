"""`card check`, `card load`, `card approve`, `card show` and `card list`."""

from collections.abc import Sequence
from typing import TYPE_CHECKING

import click

from torquelog.cli import words
from torquelog.cli.answer import Answer, Column, Problem, Remark, Table
from torquelog.cli.card_text import card_data, card_lines, document_text, head_facts, size_text, state_text
from torquelog.cli.command import Example, command
from torquelog.cli.context import Context
from torquelog.cli.signing import by_passphrase, named, open_for, signed_in

if TYPE_CHECKING:
    from torquelog.book.opening import Book
    from torquelog.errors import TorquelogError
    from torquelog.facts.card_form import Card
    from torquelog.work.cardfile import CardFile

OWN_APPROVAL = "The drafter approved this card, as nobody else could."


@command(
    "check",
    short="Check a card file without loading it.",
    examples=(Example("torquelog card check sample_data/main-wheel-build.toml", "shows all that it says"),),
)
@click.argument("file", metavar="FILE")
def check(context: Context, file: str) -> Answer:
    """Every problem is told at once, with its table and key. FILE may be - for standard input.

    Nothing here knows your approved data: compare each value with the document yourself.
    """
    from torquelog.cli.files import read_text
    from torquelog.work.cardfile import MOST_BYTES, examine

    found, problems = examine(read_text(context, file, largest=MOST_BYTES), file)
    if found is None:
        return unreadable(file, problems)
    return Answer(
        headline=f"{found.card.card} can be loaded: {size_text(found.card)}.",
        facts=tuple(head_facts(found.card)),
        body=tuple(card_lines(found.card)),
        remarks=question_remarks(found),
        next=(f"torquelog card load {file}",),
        data=card_data(found.card) | {"questions": [one._asdict() for one in found.questions]},
    )


@command(
    "load",
    short="Load a card file as a draft.",
    examples=(Example("torquelog card load sample_data/main-brake-fit.toml"),),
)
@click.argument("file", metavar="FILE")
@click.option("--replace", is_flag=True, help="Put it in the place of your draft of the same revision.")
def load(context: Context, file: str, replace: bool) -> Answer:
    """A draft opens no job. Somebody else checks it against the document and approves it.

    A revision that is on record stays as it is: a changed card takes a new revision, and only a draft that
    nobody has approved can be replaced.
    """
    from torquelog.cli.files import read_text
    from torquelog.work.cardfile import MOST_BYTES, examine

    found, problems = examine(read_text(context, file, largest=MOST_BYTES), file)
    if found is None:
        return unreadable(file, problems)
    with open_for(context, "write") as book:
        return loaded(context, book, found, replace=replace)


def loaded(context: Context, book: "Book", found: "CardFile", *, replace: bool = False) -> Answer:
    """Load what was read, and tell of it."""
    from torquelog.work import cards

    done = cards.load(book, signed_in(context, book), found.content, replace=replace)
    card = done.card
    name = f"{card.card} revision {card.revision}"
    said = f"{name} is loaded as a draft: {size_text(card)}."
    if done.repeated:
        said = f"{name} is on record already, the same to the letter."
    facts = [("Document", document_text(card)), ("Entry", card.reference)]
    facts += [("In place of", done.replaced)] if done.replaced else []
    data = card_data(card) | {
        "entry": card.reference,
        "repeated": done.repeated,
        "replaced": done.replaced or None,
        "state": "approved" if done.approved else "draft",
        "questions": [one._asdict() for one in found.questions],
    }
    following = "job open JOB --card" if done.approved else "card approve"
    return Answer(
        headline=said,
        facts=tuple(facts),
        remarks=question_remarks(found),
        next=(f"torquelog {following} {card.card}",),
        data=data,
    )


@command(
    "approve",
    short="Approve a card that you checked against its document.",
    examples=(
        Example(
            'torquelog card approve MW-FIT --why "nobody else is here" --passphrase-stdin',
            "by its drafter, alone",
            stdin="nine apples on the wing\n",
        ),
    ),
    passphrase=True,
)
@click.argument("card", metavar="CARD")
@click.option("--revision", metavar="REVISION", help="Which; the newest unless you say otherwise.")
@click.option("--why", metavar="TEXT", help="The reason, where the drafter approves because nobody else can.")
def approve(context: Context, card: str, revision: str | None, why: str | None) -> Answer:
    """This takes an inspector or quality, and not the drafter while somebody else holds one of these roles.

    You sign that each value stands in the document as it stands here; compare them first: torquelog card show.
    """
    from torquelog.book.named import card_named
    from torquelog.ledger.text import gate_text
    from torquelog.work import cards

    reason = gate_text(why, "the reason", reason=True) if why is not None else None
    with open_for(context, "write") as book:
        person = named(context) or signed_in(context, book).person
        draft = card_named(book.connection, card, revision)
        reason = own_reason(context, book, person, draft, reason)
        signer = by_passphrase(context, book, person)
        done = cards.approve(book, signer, draft.card, revision=draft.revision, why=reason)
        by = ", by its own drafter" if done.own else f", by {person}"
        return Answer(
            headline=f"{done.card.card} revision {done.card.revision} is approved{by}.",
            facts=(("Document", document_text(done.card)), ("Entry", done.reference)),
            remarks=(Remark("own-approval", OWN_APPROVAL),) if done.own else (),
            next=(f"torquelog job open JOB --card {done.card.card}",),
            data=card_data(done.card)
            | {"entry": done.reference, "approved_by": person, "own_approval": done.own, "why": reason},
        )


def own_reason(context: Context, book: "Book", person: str, draft: "Card", reason: str | None) -> str | None:
    """The reason, asked for on a terminal where the drafter is the only one who can approve."""
    from torquelog.cli import ask
    from torquelog.errors import TorquelogError
    from torquelog.ledger.text import gate_text
    from torquelog.work.cards import may_approve

    try:
        may_approve(book, person, draft, reason, context.now)
    except TorquelogError as error:
        if error.code != "why-missing" or not context.can_ask:
            raise
        ask.say(context, "You drafted this card, and nobody else here may approve one yet.")
        question = "Approve it yourself? Every answer and sheet will say so. Reason"
        return ask.text(
            context, question, option="--why", read=lambda text: gate_text(text, "the reason", reason=True)
        )
    return reason


@command(
    "show",
    short="Show a card, to be compared with its document.",
    examples=(Example("torquelog card show MW-BUILD"), Example("torquelog card show MW-BUILD --json")),
)
@click.argument("card", metavar="CARD")
@click.option("--revision", metavar="REVISION", help="Which; the newest unless you say otherwise.")
def show(context: Context, card: str, revision: str | None) -> Answer:
    """All that the card says, and who approved it."""
    from torquelog.book.named import card_named
    from torquelog.clock import offset_text
    from torquelog.facts import cards

    with open_for(context, "read") as book:
        found = card_named(book.connection, card, revision)
        approval = cards.approval(book.connection, found.digest)
        facts = [*head_facts(found), ("State", state_text(book, found, approval))]
        facts += [("Entry", found.reference), ("Asks for", words.count(found.readings, "reading"))]
        own = approval is not None and approval.own
        data = card_data(found) | {
            "entry": found.reference,
            "drafter": found.drafter,
            "state": "draft" if approval is None else "approved",
            "approved_by": None if approval is None else approval.approver,
            "approved_at": None if approval is None else offset_text(approval.at, book.zone),
            "own_approval": own,
            "content": cards.content_of(book.connection, found.digest),
        }
        following = "card approve" if approval is None else "job open JOB --card"
        return Answer(
            headline=f"{found.card} revision {found.revision}: {found.title}.",
            facts=tuple(facts),
            body=tuple(card_lines(found)),
            remarks=(Remark("own-approval", OWN_APPROVAL),) if own else (),
            next=(f"torquelog {following} {found.card}",),
            data=data,
        )


@command(
    "list",
    short="List the cards on record.",
    examples=(Example("torquelog card list"), Example("torquelog card list --csv")),
    csv=True,
)
def card_list(context: Context) -> Answer:
    """Every revision of every card, and which of them opens a job."""
    from torquelog.facts import cards

    with open_for(context, "read") as book:
        found = cards.listed(book.connection)
        opens = {each.card: cards.newest_approved(book.connection, each.card) for each in found}
        rows, records = [], []
        for each in found:
            newest = opens[each.card]
            current = newest is not None and newest.digest == each.digest
            state = "draft" if each.approval is None else "opens jobs" if current else "superseded"
            by = each.approval.approver if each.approval else ""
            rows.append((each.card, each.revision, each.title, each.document, state, by))
            records.append(
                {
                    "card": each.card,
                    "revision": each.revision,
                    "title": each.title,
                    "document": each.document,
                    "date": each.date,
                    "state": "draft" if each.approval is None else "approved" if current else "superseded",
                    "drafter": each.drafter,
                    "approved_by": by or None,
                    "own_approval": each.approval is not None and each.approval.own,
                    "digest": each.digest,
                }
            )
        columns = (
            Column("card"), Column("revision"), Column("title", fold=True), Column("document", fold=True),
            Column("state"), Column("approved by"),
        )  # fmt: skip
        fields = (
            "card", "revision", "title", "document", "date", "state", "drafter", "approved_by", "own_approval",
            "digest",
        )  # fmt: skip
        return Answer(
            headline=f"{words.count(len(opens), 'card')} on record at {book.station}, "
            f"{words.count(len(found), 'revision')}.",
            table=Table(columns, tuple(rows), tuple(records), fields=fields),
            next=(f"torquelog card show {found[0].card}",) if found else ("torquelog card new FILE",),
            data={"cards": records},
        )


def unreadable(file: str, problems: "Sequence[TorquelogError]") -> Answer:
    """The answer for a card file that cannot be loaded, with everything that is wrong in it."""
    said = words.count(len(problems), "problem")
    verb = "keeps" if len(problems) == 1 else "keep"
    return Answer(
        headline=f"{said} {verb} {file} from being loaded. Nothing was recorded.",
        problems=tuple(Problem(error.code, error.message, error.hint) for error in problems),
        exit=2,
    )


def question_remarks(found: "CardFile") -> tuple[Remark, ...]:
    """What looks unlikely in a card, to be compared with the document."""
    return tuple(
        Remark("thread-torque", f"{words.sentence(words.group(one.group))}: {one.text}")
        for one in found.questions
    )
