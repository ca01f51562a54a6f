"""`card new`: a card by questions on a terminal, elsewhere a file to fill in."""

import os
from collections.abc import Callable
from typing import TYPE_CHECKING, Any

import click

from torquelog.cli import ask, words
from torquelog.cli.answer import Answer
from torquelog.cli.ask_back import HOW, Questions
from torquelog.cli.command import Example, command
from torquelog.cli.context import Context
from torquelog.errors import TorquelogError

if TYPE_CHECKING:
    from datetime import date

OPENING = (
    "",
    "A card says what is to be tightened. Copy it from your approved data.",
    "torquelog supplies no torque values.",
    HOW,
    "",
)
NO_OPTION = "an editor"


@command(
    "new",
    short="Write a card file, by questions or to fill in.",
    examples=(Example("torquelog card new my-wheel.toml", "asks on a terminal, else writes one to fill in"),),
)
@click.argument("file", metavar="FILE")
@click.option("--template", is_flag=True, help="Ask nothing; write a file to fill in.")
@click.option("--replace", is_flag=True, help="Write over a file that is there already.")
def new(context: Context, file: str, template: bool, replace: bool) -> Answer:
    """What is asked is enough for a first card. Every other key stands, with what it says, in the file that
    --template writes. The card is loaded as a draft where there is a record and you are signed in.
    """
    from torquelog.cli.files import demand_place, write_file
    from torquelog.work.card_template import template as to_fill_in
    from torquelog.work.card_template import written

    demand_place(context, file, replace=replace)
    name = name_of(file)
    if template or not context.can_ask:
        write_file(file, to_fill_in(name).encode(), replace=replace)
        return Answer(
            headline=f"{file} is written, to be filled in with any editor.",
            next=(f"torquelog card check {file}",),
            data={"file": file, "card": name, "loaded": False},
        )
    card, groups = asked(context, name)
    text = written(card, groups)
    write_file(file, text.encode(), replace=replace)
    return load_as_draft(context, file, text)


def name_of(file: str) -> str:
    """A card's name from the name of its file."""
    stem = os.path.splitext(os.path.basename(file))[0].upper()
    kept = "".join(sign if sign.isascii() and (sign.isalnum() or sign in "._-") else "-" for sign in stem)
    return kept.strip("._-")[:32] or "CARD"


def asked(context: Context, name: str) -> tuple[dict[str, Any], list[dict[str, Any]]]:
    """The card and its groups, as a person answers."""
    for line in OPENING:
        ask.say(context, line)
    found = Questions(context, NO_OPTION).ask(lambda questions: asked_card(context, questions, name))
    ask.say(context, "")
    return found


def asked_card(
    context: Context, questions: Questions, name: str
) -> tuple[dict[str, Any], list[dict[str, Any]]]:
    """The questions in their order."""
    from torquelog.ledger.text import gate_identifier, gate_text

    def words_for(question: str, field: str) -> str:
        return questions.text(question, lambda text: gate_text(text, field), free=True)

    card: dict[str, Any] = {
        "id": questions.text("Card name", lambda text: gate_identifier(text, "a card"), name, free=True),
        "title": words_for("What is done, in a few words", "the title"),
        "document": words_for("Document", "the document"),
        "revision": words_for("Revision", "the revision"),
        "date": asked_date(context, questions),
    }
    groups = [asked_group(questions, ())]
    while questions.yes_no("Another group?"):
        groups.append(asked_group(questions, tuple(group["id"] for group in groups)))
    return card, groups


def asked_date(context: Context, questions: Questions) -> "date":
    """The date of the revision, shown back."""
    from torquelog.clock import parse_date

    found = questions.text("Its date", parse_date)
    from datetime import UTC, datetime

    today = datetime.fromtimestamp(context.now / 1000, UTC).date()
    questions.say(f"  {words.day_and_distance(found, today)}")
    return found


def asked_group(questions: Questions, taken: tuple[str, ...]) -> dict[str, Any]:
    """One group, each answer that stands for more than it says shown back."""
    from torquelog.work import card_values as values

    answer = questions.text
    group: dict[str, Any] = {
        "id": answer("Fastener group, such as tie-bolt", lambda text: fresh(text, taken), free=True)
    }
    group["on"] = answer("What carries it? (wheel, brake, ... or aircraft)", values.name, free=True)
    count = answer("How many", counted)
    group |= {"count": count} | asked_torque(questions)
    thread = answer("Thread, such as 1/2-20 (Enter if it is not said)", optional(thread_form), "")
    if thread:
        group["thread"] = thread
        ask_about_thread(questions, group)
    if questions.yes_no("Is run-on torque added to it?"):
        group["basis"] = "above-run-on"
    if count > 1:
        group["order"] = asked_order(questions, count)
    passes = answer("Passes in percent", read_passes, "100")
    group |= {"passes": passes} if len(passes) > 1 else {}
    if questions.yes_no("Inspection by a second person?"):
        group["inspection"] = "independent"
    return group


def fresh(text: str, taken: tuple[str, ...]) -> str:
    """The name of a group that is not there yet."""
    from torquelog.work import card_values as values

    name = values.name(text)
    if name in taken:
        raise TorquelogError("card-value", f"There is a group {name} already.")
    return name


def counted(text: str) -> int:
    """How many fasteners, as typed."""
    from torquelog.torque.sequence import MOST_FASTENERS

    if not (text.isascii() and text.isdigit() and len(text) <= 4 and 1 <= int(text) <= MOST_FASTENERS):
        raise TorquelogError("card-value", f'"{text[:20]}" is not a number from 1 to {MOST_FASTENERS}.')
    return int(text)


def optional(read: Callable[[object], str]) -> Callable[[str], str]:
    """A reader that lets an empty answer be empty."""
    return lambda text: read(text) if text else ""


def thread_form(text: object) -> str:
    """A thread, in a form that is known."""
    from torquelog.torque.thread import check_form
    from torquelog.work import card_values as values

    return check_form(values.text(text))


def asked_torque(questions: Questions) -> dict[str, str]:
    """The torque at the fastener, shown back in both systems."""
    from torquelog.cli.card_text import spec_text
    from torquelog.torque.limits import parse_spec

    spec = questions.text("Torque at the fastener, such as 68..76 Nm", parse_spec)
    questions.say(f"  {spec_text(spec)}")
    return {"torque": spec.text}


def ask_about_thread(questions: Questions, group: dict[str, Any]) -> None:
    """Question a torque that is about twelve times off its thread, and let it be typed again."""
    from torquelog.torque.limits import parse_spec
    from torquelog.work.card_rules import thread_question

    question = thread_question(group["thread"], parse_spec(group["torque"]))
    if question:
        questions.say(f"  {question}")
        if not questions.yes_no("Does the document say it like that?"):
            group |= asked_torque(questions)


def asked_order(questions: Questions, count: int) -> str:
    """A pattern by its first letter, the order it stands for shown back."""
    from torquelog.torque.sequence import PATTERNS, order

    pattern = questions.choice("Order, (s)tar, (c)ircular or (l)ine", tuple(PATTERNS))
    questions.say(f"  {'-'.join(map(str, order(count, pattern)))}")
    return pattern


def read_passes(text: str) -> list[str]:
    """Percentages with commas between, as a file has them."""
    from torquelog.work import card_values as values

    return values.passes([part.strip() for part in text.split(",")])


def load_as_draft(context: Context, file: str, text: str) -> Answer:
    """Load what was written; where that cannot be, say why and how."""
    from torquelog.cli.card import loaded
    from torquelog.cli.signing import open_for
    from torquelog.work.cardfile import read_card

    found = read_card(text, file)
    try:
        with open_for(context, "write") as book:
            answer = loaded(context, book, found)
    except TorquelogError as error:
        return Answer(
            headline=f"Written to {file}, not loaded. {error.message}",
            body=(error.hint,) if error.hint else (),
            next=(f"torquelog card load {file}",),
            data={"file": file, "card": found.card.card, "loaded": False},
        )
    return answer._replace(
        headline=f"Written to {file} and loaded as a draft.",
        body=("Change it with any editor and load it again with --replace.",),
        data={**(answer.data or {}), "file": file, "loaded": True},
    )
