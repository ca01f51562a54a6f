"""A Digital Calibration Certificate (schema 3 of PTB): what it says of a torque tool.

Read from the bytes of the file to a frozen result, without any guess: what the file has to say and does not is an
error that names the place; what it need not say (the direction; whether the tool was adjusted) is left open for
somebody who has the certificate before them.
"""

import hashlib
from collections.abc import Collection, Iterator
from datetime import date
from typing import Final, NamedTuple

from torquelog.crib import dcc_values, dcc_xml
from torquelog.crib.dcc_results import DCC, Row, rows
from torquelog.crib.dcc_xml import Node, form
from torquelog.crib.results import numbered, point
from torquelog.errors import TorquelogError
from torquelog.facts.calibrations import Point
from torquelog.ledger.text import gate_text
from torquelog.torque.number import quoted

ROOT: Final = "digitalCalibrationCertificate"
SCHEMA: Final = "3."
SIGNATURES: Final = "http://www.w3.org/2000/09/xmldsig#"


class Dcc(NamedTuple):
    """What a digital certificate says.

    Attributes:
        number: its unique identifier.
        laboratory: who issued it.
        begun, ended: the first and the last day of the calibration.
        due: the day on which it recommends the next one, or nothing.
        items: what it was made for: issuer and value of each identification, such as a serial number.
        equipment: what it was measured with: identifications and names of the measuring equipment.
        conformity: what it states itself, such as `pass` or `fail`, or "".
        rows: its results.
        digest: SHA-256 of the file, in hexadecimal.
        signed: whether the file bears a signature, which is not checked here.
    """

    number: str
    laboratory: str
    begun: date
    ended: date
    due: date | None
    items: tuple[tuple[str, str], ...]
    equipment: tuple[str, ...]
    conformity: str
    rows: tuple[Row, ...]
    digest: str
    signed: bool = False


def read(content: bytes) -> Dcc:
    """Read a certificate.

    Args:
        content: the file as the laboratory issued it.

    Raises:
        TorquelogError: dcc-form, which names the line or the part; file-too-large.
    """
    root = dcc_xml.tree(content)
    _check_root(root)
    administration = _part(root, "administrativeData")
    core = _part(administration, "coreData")
    begun, ended = (_day(_part(core, name)) for name in ("beginPerformanceDate", "endPerformanceDate"))
    if ended < begun:
        raise form(f"The calibration ended on {ended}, before it began on {begun}.", "Ask the laboratory.")
    results = _part(root, "measurementResults")
    return Dcc(
        number=_gated(_part(core, "uniqueIdentifier")),
        laboratory=_name(_part(administration, "calibrationLaboratory", "contact", "name")),
        begun=begun,
        ended=ended,
        due=_due(administration),
        items=tuple(_items(administration)),
        equipment=tuple(dict.fromkeys(_equipment(results))),
        conformity=_conformity(administration),
        rows=rows(results),
        digest=hashlib.sha256(content).hexdigest(),
        signed=any(each.space == SIGNATURES for each in root.children),
    )


def unsaid(certificate: Dcc) -> tuple[str, ...]:
    """What the results do not say and somebody has to: `direction`, `state`."""
    return tuple(
        name for name in ("direction", "state") if not all(getattr(row, name) for row in certificate.rows)
    )


def points(certificate: Dcc, *, direction: str = "", state: str = "") -> tuple[Point, ...]:
    """The results, with what the file leaves open as somebody told it.

    Raises:
        TorquelogError: dcc-form, which names the place.
    """
    return numbered([_point(row, row.direction or direction, row.state or state) for row in certificate.rows])


def found_on(certificate: Dcc, results: tuple[Point, ...]) -> date | None:
    """The day of the results as found where it was another than that of the results as left."""
    both = {each.state for each in results} == {"as-found", "as-left"}
    return certificate.begun if both and certificate.begun != certificate.ended else None


def check_item(certificate: Dcc, tool: str, serial: str, others: Collection[str]) -> None:
    """Raise `certificate-facts` where a certificate was made for another tool.

    Args:
        certificate: the certificate.
        tool: the tool's number here.
        serial: its maker's serial number, "" where not told.
        others: the numbers of other tools here.
    """
    known = [value for _, value in certificate.items]
    if {value.casefold() for value in known} & {serial.casefold(), tool.casefold()}:
        return
    another = next((value for value in known if value.upper() in others), "")
    if another or (serial and known):
        own = f"{tool} has the serial number {quoted(serial)}." if serial else f"It is not {tool}."
        raise TorquelogError(
            "certificate-facts",
            f"The certificate is for {another or ', '.join(quoted(value) for value in known[:3])}. {own}",
            hint="Look whether it is the certificate of this tool.",
        )


def _point(row: Row, direction: str, state: str) -> Point:
    cells = {
        "state": state, "direction": direction, "indicated": row.indicated, "reference": row.reference,
        "unit": row.unit, "uncertainty": row.uncertainty, "k": row.k,
    }  # fmt: skip
    try:
        return point(cells)
    except TorquelogError as error:
        raise form(f"{row.place}: {error.message}", error.hint) from error


def _check_root(root: Node) -> None:
    if root.name != ROOT:
        raise form(
            f"It is no digital calibration certificate: it begins with {quoted(root.name)}.",
            f"The file begins with {ROOT}, in the namespace {DCC}.",
        )
    if root.space != DCC:
        raise form(
            f"Its namespace is {quoted(root.space, 80)}, not {DCC}.",
            "Ask the laboratory for a certificate by the published schema.",
        )
    version = root.attributes.get("schemaVersion", "")
    if not version.startswith(SCHEMA):
        raise form(
            f"It says that it is written by schema version {quoted(version)}; version 3 is read.",
            "Ask the laboratory for version 3, or type its results as CSV, for --points.",
        )


def _part(node: Node, *names: str) -> Node:
    """A part that has to be there, by its path below a node."""
    for name in names:
        found = next(node.all(name), None)
        if found is None:
            raise form(
                f"The certificate lacks {name} in {node.name} (line {node.line}).",
                "Ask the laboratory for the whole certificate.",
            )
        node = found
    return node


def _day(node: Node) -> date:
    try:
        return dcc_values.day(node.text)
    except TorquelogError as error:
        raise form(
            f"Line {node.line} of the certificate file, {node.name}: {error.message}", error.hint
        ) from error


def _gated(node: Node) -> str:
    try:
        return gate_text(node.text, node.name)
    except TorquelogError as error:
        raise form(f"Line {node.line} of the certificate file: {error.message}", error.hint) from error


def _name(node: Node) -> str:
    """A name in English where there is one, else the first."""
    contents = list(node.all("content"))
    if not contents:
        raise form(f"The certificate lacks content in {node.name} (line {node.line}).")
    english = [each for each in contents if each.attributes.get("lang", "").lower().startswith("en")]
    return _gated((english or contents)[0])


def _statements(administration: Node, ref_type: str) -> Iterator[Node]:
    for each in administration.below("statement"):
        if ref_type in each.attributes.get("refType", "").split():
            yield each


def _due(administration: Node) -> date | None:
    days = [
        _day(each)
        for statement in _statements(administration, "basic_recalibration")
        for each in statement.all("date")
    ]
    return min(days, default=None)


def _conformity(administration: Node) -> str:
    said = {
        each.text
        for statement in _statements(administration, "basic_conformity")
        for each in statement.all("conformity")
    }
    return said.pop() if len(said) == 1 else ""


def _items(administration: Node) -> Iterator[tuple[str, str]]:
    items = _part(administration, "items")
    each = list(items.all("item"))
    if len(each) != 1:
        raise form(
            f"The certificate speaks of {len(each)} items (line {items.line}), and a tool's is of one.",
            "Type the results of this tool as CSV, for --points.",
        )
    for identification in each[0].below("identification"):
        value = next(identification.all("value"), None)
        issuer = next(identification.all("issuer"), None)
        if value is not None and value.text:
            yield issuer.text if issuer else "", _gated(value)


def _equipment(results: Node) -> Iterator[str]:
    for each in results.below("measuringEquipment"):
        for identification in each.below("identification"):
            for value in identification.all("value"):
                if value.text:
                    yield _gated(value)
        name = next(each.all("name"), None)
        if name is not None:
            yield _name(name)
