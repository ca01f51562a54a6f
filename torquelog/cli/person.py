"""`person`: enrolling people, their codes and their roles."""

from typing import TYPE_CHECKING, Final

import click

from torquelog.cli import words
from torquelog.cli.answer import Answer, Column, Json, Table
from torquelog.cli.command import Example, command
from torquelog.cli.context import Context
from torquelog.cli.signing import by_passphrase, new_passphrase, open_for
from torquelog.errors import TorquelogError

if TYPE_CHECKING:
    from torquelog.book.opening import Book
    from torquelog.facts.people import Grant
    from torquelog.quality.people import CodeGiven, Enrolled

SHOWN_ONCE: Final = "The code is shown this once and kept nowhere. Hand it over yourself; it works once."


@command(
    "add",
    short="Enrol a person and give them a one-time code.",
    examples=(
        Example(
            'torquelog person add MS --name "Mira Solheim" --role inspector,technician --passphrase-stdin',
            stdin="nine apples on the wing\n",
        ),
    ),
    passphrase=True,
)
@click.argument("person", metavar="ID")
@click.option("--name", metavar="NAME", required=True, help="Full name.")
@click.option(
    "--role",
    "roles",
    metavar="ROLE[,ROLE]",
    multiple=True,
    required=True,
    help="technician, inspector, crib, quality.",
)
@click.option("--licence", metavar="TEXT", help="The licence's number and kind.")
def add(context: Context, person: str, name: str, roles: tuple[str, ...], licence: str | None) -> Answer:
    """Quality does this, with the passphrase. The person chooses a passphrase of their own with the code, within 72
    hours; nobody else ever knows it.
    """
    from torquelog.ledger.text import gate_text
    from torquelog.quality.people import add_person

    new = identifier(person)
    full, papers = gate_text(name, "the name"), gate_text(licence, "the licence") if licence else None
    asked = tuple(part.strip().lower() for role in roles for part in role.split(",") if part.strip())
    with open_for(context, "write") as book:
        given = add_person(book, by_passphrase(context, book), new, full, asked, papers)
        return code_answer(context, book, given, f"{given.person}, {given.name}, may enrol now.")


@command(
    "code",
    short="Give a person a new one-time code, for a lost passphrase.",
    examples=(Example("torquelog person code IK --passphrase-stdin", stdin="nine apples on the wing\n"),),
    passphrase=True,
)
@click.argument("person", metavar="ID")
def code(context: Context, person: str) -> Answer:
    """Quality does this. What the person signed before stays valid; an older code ends."""
    from torquelog.quality.people import new_code

    with open_for(context, "write") as book:
        given = new_code(book, by_passphrase(context, book), identifier(person))
        return code_answer(
            context, book, given, f"{given.person}, {given.name}, may choose a new passphrase now."
        )


@command(
    "enrol",
    short="Choose a passphrase of your own, with the code you were given.",
    examples=(
        Example("torquelog person enrol IK", "asks for the code and for a passphrase", exit=2),
        Example(
            "torquelog person enrol IK --code 21NAG-C9J1J-FYMGZ-GZJXM-ZC2G6G --passphrase-stdin",
            "this one is not the code that IK was given",
            exit=3,
            stdin="ten pears under the keel\n",
        ),
    ),
    passphrase=True,
)
@click.argument("person", metavar="ID")
@click.option(
    "--code",
    "code_text",
    metavar="CODE",
    help="The one-time code that quality gave you; - reads it from standard input.",
)
def enrol(context: Context, person: str, code_text: str | None) -> Answer:
    """Four words that nobody would put together make a good passphrase. It is stored nowhere, and quality
    cannot look it up.
    """
    from torquelog.cli import ask
    from torquelog.ledger import keys
    from torquelog.work.enrolling import code_number
    from torquelog.work.enrolling import enrol as act

    who = identifier(person)
    with open_for(context, "write") as book:
        typed = ask.read_line(context) if code_text == "-" else code_text
        given = context.hide(typed or ask.text(context, "Your one-time code", option="--code", read=str))
        code_number(book, who, keys.code_seed(given))
        passphrase = new_passphrase(context, f"A passphrase of your own for {who}, 12 characters or more")
        found = act(book, who, given, passphrase, scrypt_n=keys.LARGEST_N)
        roles = words.listing(found.roles) or "no role"
        return Answer(
            headline=f"{found.person}, {found.name}, is enrolled at {book.station} as {roles}.",
            body=("A passphrase is not stored and cannot be looked up, only replaced.",),
            next=(f"torquelog sign-in {found.person}",),
            data={
                "entry": found.reference,
                "person": found.person,
                "name": found.name,
                "roles": list(found.roles),
            },
        )


@command(
    "role",
    short="Give a person a role, or take it away.",
    examples=(
        Example(
            'torquelog person role IK --add inspector --inspects "wheels and brakes" --passphrase-stdin',
            stdin="nine apples on the wing\n",
        ),
        Example(
            "torquelog person role IK --remove technician --passphrase-stdin",
            stdin="nine apples on the wing\n",
        ),
    ),
    passphrase=True,
)
@click.argument("person", metavar="ID")
@click.option("--add", "added", metavar="ROLE", help="technician, inspector, crib or quality.")
@click.option("--remove", "removed", metavar="ROLE", help="A role the person holds.")
@click.option("--inspects", metavar="TEXT", help="What an inspector may inspect, as 'wheels and brakes'.")
@click.option("--until", metavar="DATE", help="The last day of the role.")
@click.option("--since", metavar="DATE", help="The first day, where it began before today; needs --why.")
@click.option("--why", metavar="TEXT", help="The reason.")
def role(
    context: Context,
    person: str,
    added: str | None,
    removed: str | None,
    inspects: str | None,
    until: str | None,
    since: str | None,
    why: str | None,
) -> Answer:
    """Quality does this. Nobody grants a role to himself once another person holds it. A role counts for signatures
    from now on; with --since also for work performed earlier, shown as told late.
    """
    from torquelog.clock import day_end, day_start, parse_date
    from torquelog.ledger.text import gate_text
    from torquelog.quality.people import change_role

    if (added is None) == (removed is None):
        raise TorquelogError("argument", "Name one of --add and --remove, with a role.")
    who = identifier(person)
    first, last = since and parse_date(since), until and parse_date(until)
    with open_for(context, "write") as book:
        found = change_role(
            book, by_passphrase(context, book), who, (added or removed or "").strip().lower(), add=added is not None,
            since=day_start(first, book.zone) if first else None,
            until=day_end(last, book.zone) if last else None,
            inspects=gate_text(inspects, "what may be inspected") if inspects else None,
            why=gate_text(why, "the reason", reason=True) if why else None,
        )  # fmt: skip
        verb = "holds the role" if found.held else "does not hold the role"
        terms = "".join(
            (
                f", for {found.inspects}" if found.inspects else "",
                f", from {words.day(first)}" if first else "",
                f", through {words.day(last)}" if last else "",
            )
        )
        return Answer(
            headline=f"{found.person}, {found.name}, {verb} {found.role} from now on{terms}.",
            facts=(("Entry", found.reference),),
            next=("torquelog person list",),
            data={
                "entry": found.reference,
                "person": found.person,
                "role": found.role,
                "held": found.held,
                "inspects": found.inspects,
                "since": since and str(first),
                "until": until and str(last),
            },
        )


@command(
    "list",
    short="Show who is enrolled, with which roles.",
    examples=(Example("torquelog person list"), Example("torquelog person list --csv")),
    csv=True,
)
def people(context: Context) -> Answer:
    """Everybody whom this station enrolled."""
    from torquelog.quality.people import everybody

    with open_for(context, "read") as book:
        found = everybody(book)
        rows = tuple(row(book, each) for each in found)
        records = [record(book, each) for each in found]
        names = tuple(
            each | {"roles": [grant.role for grant in one.grants]}
            for each, one in zip(records, found, strict=True)
        )
        columns = (
            Column(""),
            Column("name", fold=True),
            Column("roles", fold=True),
            Column("licence", fold=True),
            Column("", fold=True),
        )
        return Answer(
            headline=f"{words.count(len(found), 'person', 'people')} enrolled at {book.station}.",
            table=Table(columns, rows, names),
            next=("torquelog person add ID --name NAME --role ROLE   enrols another",),
            data={"people": records},
        )


def identifier(text: str) -> str:
    """A person's id as kept."""
    from torquelog.ledger.text import gate_identifier

    return gate_identifier(text, "a person")


def code_answer(context: Context, book: "Book", given: "CodeGiven", headline: str) -> Answer:
    """The answer that shows a code."""
    from torquelog.clock import offset_text

    context.hide(given.code)
    until = f"{words.day_and_time(given.until, book.zone)}, {words.distance(given.until, context.now)}"
    roles = (("Roles", words.listing(given.roles)),) if given.roles else ()
    return Answer(
        headline=headline,
        facts=(("Code", given.code), ("Works until", until), *roles, ("Entry", given.reference)),
        body=(SHOWN_ONCE,),
        next=(f"torquelog person enrol {given.person} --code CODE",),
        data={
            "entry": given.reference,
            "person": given.person,
            "name": given.name,
            "roles": list(given.roles),
            "code": given.code,
            "code_until": offset_text(given.until, book.zone),
        },
    )


def row(book: "Book", each: "Enrolled") -> tuple[str, ...]:
    """A line of the list."""
    roles = ", ".join(grant_text(book, grant) for grant in each.grants) or "no role"
    waits = "" if each.has_key else "has not chosen a passphrase yet"
    return each.person.person, each.person.name, roles, each.person.licence or "", waits


def grant_text(book: "Book", grant: "Grant") -> str:
    """A role with its bounds: "inspector (wheels, through Wed 30 Dec 2026)"."""
    bounds = [grant.inspects] if grant.inspects else []
    if grant.until is not None:
        bounds.append(f"through {words.day(words.local(grant.until - 1, book.zone).date())}")
    return grant.role + (f" ({', '.join(bounds)})" if bounds else "")


def record(book: "Book", each: "Enrolled") -> dict[str, Json]:
    """A person for programs."""
    from torquelog.clock import local_date

    return {
        "person": each.person.person,
        "name": each.person.name,
        "licence": each.person.licence,
        "roles": [
            {
                "role": grant.role,
                "inspects": grant.inspects,
                "until": None if grant.until is None else str(local_date(grant.until - 1, book.zone)),
            }
            for grant in each.grants
        ],
        "enrolled": each.has_key,
    }
