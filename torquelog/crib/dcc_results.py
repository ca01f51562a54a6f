"""The results of a digital certificate: its quantities brought together to rows of indicated and reference.

What a quantity is, its `refType` says. A reading as found is one whose influence condition has the status "before
adjustment"; where such results stand in a file, the others are those as left.
"""

import re
from collections.abc import Iterator, Sequence
from fractions import Fraction
from typing import Final, NamedTuple

from torquelog.crib import dcc_values
from torquelog.crib.dcc_values import Measure
from torquelog.crib.dcc_xml import Node, form
from torquelog.crib.results import MOST, SHARE_DIGITS
from torquelog.errors import TorquelogError
from torquelog.torque.number import display
from torquelog.torque.units import TORQUE_UNITS

DCC: Final = "https://ptb.de/dcc"
SI: Final = "https://ptb.de/si"

ROLES: Final = {
    "basic_indicatedValue": "indicated",
    "basic_measuredValue": "indicated",
    "basic_referenceValue": "reference",
    "basic_measurementError": "error",
}
STATES: Final = {
    "beforeAdjustment": "as-found",
    "beforeRepair": "as-found",
    "afterAdjustment": "as-left",
    "afterRepair": "as-left",
}
_COUNTER: Final = re.compile(
    r"(counter|anti)[- _]?clockwise|(?<![a-z])ccw(?![a-z])|gegen den uhrzeigersinn", re.IGNORECASE
)
_CLOCKWISE: Final = re.compile(r"clockwise|(?<![a-z])cw(?![a-z])|uhrzeigersinn", re.IGNORECASE)


class Row(NamedTuple):
    """One result.

    Attributes:
        state: as-found or as-left, or "" where the file does not say.
        direction: cw or ccw, or "" where the file does not say.
        indicated, reference: what the tool showed, and what the standard measured, digits as they stand.
        unit: the unit of both, one of ours.
        uncertainty: expanded uncertainty of the reference in the same unit, or with "%" as a share of it; "" for none.
        k: its coverage factor, or "".
        place: where it stands in the file, in words.
    """

    state: str
    direction: str
    indicated: str
    reference: str
    unit: str
    uncertainty: str
    k: str
    place: str


class Series(NamedTuple):
    """The values of one quantity in one unit, with their uncertainties and k, "" where the file tells none.

    A standard uncertainty is one with the coverage factor 1.
    """

    values: tuple[str, ...]
    measures: tuple[Measure, ...]
    uncertainties: tuple[str, ...]
    factors: tuple[str, ...]


def rows(results: Node) -> tuple[Row, ...]:
    """Every result of a certificate.

    Args:
        results: its element measurementResults.

    Raises:
        TorquelogError: dcc-form, which names the place.
    """
    found: list[Row] = []
    for row in _all(results):
        found.append(row)
        if len(found) > MOST:
            raise form(f"The certificate holds more than {MOST} results.")
    if not found:
        raise form(
            "The certificate has no results in measurementResults.",
            "They are quantities with the refType basic_indicatedValue and basic_referenceValue.",
        )
    if any(row.state == "as-found" for row in found):
        return tuple(row._replace(state=row.state or "as-left") for row in found)
    return tuple(found)


def _all(results: Node) -> Iterator[Row]:
    for number, measured in enumerate(results.all("measurementResult"), 1):
        for part, result in enumerate(measured.below("result"), 1):
            place = f"Measurement result {number}, result {part}"
            state = _state((measured, result), place)
            for group, chain in _groups(result, (measured, result)):
                yield from _rows(group, chain, state, f"{place}, line {group.line}")


def _groups(node: Node, chain: tuple[Node, ...]) -> Iterator[tuple[Node, tuple[Node, ...]]]:
    """Each element that holds quantities of a result side by side, with those that it stands in."""
    if any(_role(each) in ("indicated", "reference") for each in node.all("quantity")):
        yield node, (*chain, node)
    for child in node.children:
        if child.space == DCC and child.name != "quantity":
            yield from _groups(child, (*chain, child))


def _role(quantity: Node) -> str:
    kinds = (ROLES.get(kind, "") for kind in quantity.attributes.get("refType", "").split())
    return next((role for role in kinds if role), "")


def _state(chain: Sequence[Node], place: str) -> str:
    measured = chain[0]
    said = {STATES[each.text] for each in measured.below("status") if each.text in STATES}
    for node in chain:
        tokens = re.split(r"[^A-Za-z]+", node.attributes.get("refType", ""))
        said |= {STATES[token] for token in tokens if token in STATES}
    if len(said) > 1:
        raise form(
            f"{place} says both that it was before and that it was after the adjustment.",
            "Ask the laboratory.",
        )
    return next(iter(said), "")


def _direction(chain: Sequence[Node]) -> str:
    """The direction by the innermost element whose type or name tells one, and no other."""
    for node in reversed(chain):
        text = " ".join(_words(node))
        counter = _COUNTER.search(text) is not None
        clockwise = _CLOCKWISE.search(_COUNTER.sub(" ", text)) is not None
        if counter != clockwise:
            return "ccw" if counter else "cw"
    return ""


def _words(node: Node) -> Iterator[str]:
    yield node.attributes.get("refType", "")
    for name in node.all("name"):
        yield from (content.text for content in name.all("content"))


def _rows(group: Node, chain: tuple[Node, ...], state: str, place: str) -> Iterator[Row]:
    quantities: dict[str, Node] = {}
    for quantity in group.all("quantity"):
        role = _role(quantity)
        if role in quantities:
            raise form(f"{place}: it has two quantities that are {_NAMES[role]}.", "Ask the laboratory.")
        if role:
            quantities[role] = quantity
    for role in ("indicated", "reference"):
        if role not in quantities:
            raise form(f"{place}: it lacks {_NAMES[role]}.")
    indicated, reference = _same_unit(
        _series(quantities["indicated"], place), _series(quantities["reference"], place), place
    )
    error = _series(quantities["error"], place)[:1] if "error" in quantities else []
    spread = next((each for each in (*error, reference, indicated) if each.uncertainties), None)
    spread = spread or _relative(quantities["reference"], len(reference.values), place)
    if spread is not None and len(spread.values) != len(reference.values):
        raise form(
            f"{place}: its uncertainties are {len(spread.values)}, its results {len(reference.values)}."
        )
    direction = _direction((*chain, quantities["reference"], quantities["indicated"])) or _direction(chain)
    symbol = reference.measures[0].symbol
    for number, pair in enumerate(zip(indicated.values, reference.values, strict=True)):
        where = f"{place}, value {number + 1}"
        powers = (indicated.measures[number].power, reference.measures[number].power)
        shown, real = (_number(text, power, where) for text, power in zip(pair, powers, strict=True))
        yield Row(
            state, direction, shown, real, symbol,
            _uncertainty(spread, number, symbol, where) if spread else "",
            _number(spread.factors[number], 0, where) if spread and spread.factors[number] else "", where,
        )  # fmt: skip


_NAMES: Final = {
    "indicated": "an indicated value (refType basic_indicatedValue)",
    "reference": "a reference value (refType basic_referenceValue)",
    "error": "a measurement error (refType basic_measurementError)",
}


def _same_unit(indicated: list[Series], reference: list[Series], place: str) -> tuple[Series, Series]:
    """Both in one unit that both are given in, the first of the indicated value's."""
    for shown in indicated:
        for real in reference:
            symbols = {measure.symbol for measure in (*shown.measures, *real.measures)}
            if len(symbols) == 1 and symbols <= TORQUE_UNITS.keys():
                if len(shown.values) != len(real.values):
                    raise form(
                        f"{place}: it has {len(shown.values)} indicated values and {len(real.values)} reference values."
                    )
                return shown, real
    units = " and ".join(
        ", ".join(dict.fromkeys(each.measures[0].symbol for each in series))
        for series in (indicated, reference)
    )
    raise form(f"{place}: indicated and reference values are in {units}, not in one unit of torque.")


def _number(text: str, power: int, place: str) -> str:
    try:
        return dcc_values.number(text, power)
    except TorquelogError as error:
        raise form(f"{place}: {error.message}", error.hint) from error


def _uncertainty(spread: Series, number: int, symbol: str, place: str) -> str:
    measure = spread.measures[number]
    value = _number(spread.uncertainties[number], measure.power, place)
    if measure.symbol == "%":
        return f"{value}%"
    if measure.symbol == symbol:
        return value
    factor = TORQUE_UNITS[measure.symbol].newton_metres / TORQUE_UNITS[symbol].newton_metres
    return display(Fraction(value) * factor, SHARE_DIGITS)


def _series(quantity: Node, place: str) -> list[Series]:
    """The values of a quantity, in each unit that it is given in."""
    found = []
    for node in _values(quantity):
        listed = node.name.endswith("XMLList")
        found.append(_listed(node, place) if listed else _listed_singles([node], place))
    singles = [node for child in quantity.children if child.name == "list" for node in child.children]
    if not found and singles:
        found.append(_listed_singles([node for node in singles if node.name == "real"], place))
    if not found or not all(each.values for each in found):
        raise form(f"{place}: the quantity in line {quantity.line} has no value.", "Ask the laboratory.")
    return found


def _values(quantity: Node) -> Iterator[Node]:
    for child in quantity.children:
        if child.space == SI and child.name in ("real", "realListXMLList"):
            yield child
        elif child.space == SI and child.name == "hybrid":
            yield from _values(child)


def _listed(node: Node, place: str) -> Series:
    """A list written as one text: units and coverage factors may be told once for all values."""
    values = _words_of(node, ("valueXMLList",))
    count = len(values)
    units = _each(_words_of(node, ("unitXMLList",)), count, "units", place, node)
    uncertainties, factors = _spread(node, "XMLList", count, place)
    measures = tuple(_unit(text, place, node) for text in units)
    return Series(tuple(values), measures, tuple(uncertainties), tuple(factors))


def _spread(node: Node, ending: str, count: int, place: str) -> tuple[list[str], list[str]]:
    """The uncertainties of a value or of a list, each with its coverage factor: expanded ones, else standard ones.

    Both as the D-SI model wrote them first and as it writes them since version 2.
    """
    newer = f"measurementUncertaintyUnivariate{ending}"
    spread = _first(node, (f"expandedUnc{ending}",), (newer, f"expandedMU{ending}"))
    if spread is not None:
        words = _words_of(spread, (f"uncertainty{ending}",), (f"valueExpandedMU{ending}",))
        factors = _words_of(spread, (f"coverageFactor{ending}",)) or [""]
        return (
            _each(words, count, "uncertainties", place, spread),
            _each(factors, count, "coverage factors", place, spread),
        )
    spread = _first(
        node,
        (newer, f"standardMU{ending}"),
        (newer, f"coverageIntervalMU{ending}"),
        (f"coverageInterval{ending}",),
    )
    if spread is None:
        return [], []
    words = _words_of(spread, (f"valueStandardMU{ending}",), (f"standardUnc{ending}",))
    return _each(words, count, "uncertainties", place, spread), ["1"] * count


def _relative(quantity: Node, count: int, place: str) -> Series | None:
    """The uncertainties of a quantity as shares of its values; nothing where it has none."""
    told = next(quantity.all("relativeUncertainty"), None)
    if told is None:
        return None
    values = [word for node in _named(told, ("valueXMLList", "value")) for word in node.text.split()]
    units = [word for node in _named(told, ("unitXMLList", "unit")) for word in node.text.split()]
    measures = [_unit(text, place, told) for text in _each(units, count, "units", place, told)]
    if any(measure.symbol != "%" for measure in measures):
        raise form(
            f"{place}: the relative uncertainty in line {told.line} is no share.", "Ask the laboratory."
        )
    shares = _each(values, count, "uncertainties", place, told)
    factors = [
        word
        for node in _named(told, ("coverageFactor", "coverageFactorXMLList"))
        for word in node.text.split()
    ]
    factors = _each(factors or [""], count, "coverage factors", place, told)
    return Series(tuple(shares), tuple(measures), tuple(shares), tuple(factors))


def _named(node: Node, names: Sequence[str]) -> Iterator[Node]:
    """Every element below a node with one of these names, whatever its namespace."""
    for child in node.children:
        if child.name in names:
            yield child
        yield from _named(child, names)


def _listed_singles(nodes: Sequence[Node], place: str) -> Series:
    """Values that each stand for themselves."""
    values, units, spreads, factors = [], [], [], []
    for node in nodes:
        (value,) = _each(_words_of(node, ("value",)), 1, "values", place, node)
        values.append(value)
        units.append(_unit("".join(_words_of(node, ("unit",))), place, node))
        found, with_k = _spread(node, "", 1, place)
        spreads += found
        factors += with_k
    if spreads and len(spreads) != len(values):
        raise form(f"{place}: only {len(spreads)} of its {len(values)} values have an uncertainty.")
    return Series(tuple(values), tuple(units), tuple(spreads), tuple(factors))


def _each(words: list[str], count: int, what: str, place: str, node: Node) -> list[str]:
    """One word for each value; a single one stands for all."""
    if len(words) == 1:
        return words * count
    if len(words) != count:
        raise form(f"{place}: {node.name} in line {node.line} has {len(words)} {what}, not {count}.")
    return words


def _words_of(node: Node, *paths: tuple[str, ...]) -> list[str]:
    found = _first(node, *paths)
    return found.text.split() if found else []


def _first(node: Node, *paths: tuple[str, ...]) -> Node | None:
    """The element at the first of several paths below a node that is there."""
    for path in paths:
        at: Node | None = node
        for name in path:
            at = next(at.all(name), None) if at else None
        if at is not None:
            return at
    return None


def _unit(text: str, place: str, node: Node) -> Measure:
    try:
        return dcc_values.unit(text)
    except TorquelogError as error:
        raise form(f"{place}: the unit in line {node.line}: {error.message}", error.hint) from error
