"""The one place that makes HTML: an autoescaping factory, and a policy that lets the file load nothing.

A sheet has no script and asks for no other file. Its only style is the one that the policy names by its digest,
so that not even a name that found a way into the page could bring one of its own.
"""

from base64 import b64encode
from functools import cache
from hashlib import sha256
from typing import TYPE_CHECKING

from torquelog.sheets.model import Page

if TYPE_CHECKING:
    from jinja2 import Environment

    from torquelog.sheets.label import Labels


@cache
def environment() -> "Environment":
    """The factory of every sheet: everything is escaped, an unknown name is a fault."""
    from jinja2 import Environment, PackageLoader, StrictUndefined

    made = Environment(
        loader=PackageLoader("torquelog.sheets"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    made.filters["short"] = short
    return made


def short(number: float) -> str:
    """A length in a drawing, to a hundredth."""
    return f"{number:.2f}".rstrip("0").rstrip(".")


@cache
def style(name: str) -> str:
    """The style sheet of a template, as it stands between its tags."""
    loaded = environment().loader
    assert loaded is not None  # noqa: S101  the factory above gives one
    text, _, _ = loaded.get_source(environment(), name)
    return text


def policy(*styles: str) -> str:
    """The policy of a file that loads nothing and runs nothing but is shown with these styles."""
    digests = " ".join(f"'sha256-{b64encode(sha256(text.encode()).digest()).decode()}'" for text in styles)
    return f"default-src 'none'; style-src {digests}; base-uri 'none'; form-action 'none'"


def html(page: Page) -> str:
    """A sheet as one HTML file."""
    return _rendered("page.html", "sheet.css", page)


def label_html(page: "Labels") -> str:
    """Labels as one HTML file."""
    return _rendered("labels.html", "labels.css", page)


def _rendered(template: str, look: str, page: "Page | Labels") -> str:
    text = style(look)
    return environment().get_template(template).render(page=page, style=text, policy=policy(text))
