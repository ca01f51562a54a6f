"""`label`: labels for tools, to print and stick on."""

import click

from torquelog.cli import words
from torquelog.cli.answer import Answer
from torquelog.cli.command import Example, command
from torquelog.cli.context import Context, short_path
from torquelog.cli.sheet import default_name, file_options, put
from torquelog.ledger.text import gate_identifier


@command(
    "wrench",
    short="Write labels for wrenches, with a code to scan.",
    examples=(
        Example("torquelog label wrench W-0417"),
        Example("torquelog label wrench W-0417 W-0355 --out labels.html --json"),
    ),
)
@click.argument("numbers", metavar="NUMBER …", nargs=-1, required=True)
@file_options
def wrench(context: Context, numbers: tuple[str, ...], out: str | None, replace: bool) -> Answer:
    """Number, range, last day of use, and what restricts it. Print new ones when a certificate comes in."""
    return labelled(context, "wrench", numbers, out, replace=replace)


@command(
    "adapter",
    short="Write labels for adapters, with a code to scan.",
    examples=(Example("torquelog label adapter A-03"),),
)
@click.argument("numbers", metavar="NUMBER …", nargs=-1, required=True)
@file_options
def adapter(context: Context, numbers: tuple[str, ...], out: str | None, replace: bool) -> Answer:
    """Number, length or ratio, last day of use, and what restricts it."""
    return labelled(context, "adapter", numbers, out, replace=replace)


def labelled(
    context: Context, sort: str, numbers: tuple[str, ...], out: str | None, *, replace: bool
) -> Answer:
    """Write labels into their file, and say where it lies."""
    from torquelog.sheets.environment import label_html
    from torquelog.sheets.label import labels

    names = [gate_identifier(number, sort) for number in numbers]
    page = labels(context.book("read"), sort, names)
    path = out or default_name("label", names[0])
    if put(context, path, label_html(page), replace=replace):
        return Answer(written=True)
    bare = words.listing(page.without_code)
    return Answer(
        headline=f"{words.sentence(words.count(len(names), 'label'))} in {short_path(path)}.",
        body=(
            "Print it at full size, without scaling.",
            *((f"{bare}: a sign that no code takes, so these bear none.",) if bare else ()),
        ),
        next=(f"torquelog {sort} show {names[0]}",),
        data={"sheet": f"label-{sort}", "name": ", ".join(names), "path": path, "labels": [
            {"tool": each.number, "code": each.code or None, "use_through": each.use_through,
             "words": [word for word, _ in each.words]}
            for each in page.labels
        ]},
    )  # fmt: skip
