"""Makes the part of the reference that tells what is read of a Digital Calibration Certificate."""

from typing import Final

from torquelog.crib import dcc_xml
from torquelog.crib.dcc import ROOT, SCHEMA
from torquelog.crib.dcc_results import DCC, ROLES, SI, STATES
from torquelog.crib.results import MOST

READ: Final = (
    ("`coreData/uniqueIdentifier`", "the certificate's number"),
    (
        "`coreData/beginPerformanceDate`, `endPerformanceDate`",
        "the day it was found, and the day it was left",
    ),
    ("`calibrationLaboratory/contact/name`", "the laboratory; in English where that is there"),
    (
        "`items/item`, one",
        "whose it is: another registered tool's number or another serial number is refused",
    ),
    ("`statements`, `basic_recalibration`", "its date is the due date, which can only shorten"),
    ("`statements`, `basic_conformity`", "kept as a remark on the certificate; the results decide"),
    ("`measuringEquipment`", "the standard: a registered tester where it names one, else the first"),
    (
        "`name` or `refType` with clockwise, counter-clockwise, cw or ccw",
        "the direction, told nearest to the values",
    ),
    (
        "`status`: " + ", ".join(f"`{name}`" for name in STATES),
        "found or left; beside results as found, others are as left",
    ),
    (
        "`quantity`: " + ", ".join(f"`{name}`" for name in ROLES),
        "indicated, reference and error, as one value or a list",
    ),
    (
        "uncertainty",
        "of the error, else of the reference, else of the indicated value: expanded with its coverage factor, "
        "or standard; in the older and the newer form of the D-SI model, or as a share of the reference",
    ),
)


def dcc_parts() -> list[str]:
    """What a digital certificate has to say, and what is read of it."""
    rows = [
        "| part | what is taken from it |",
        "| --- | --- |",
        *(f"| {part} | {what} |" for part, what in READ),
    ]
    return [
        "## A Digital Calibration Certificate",
        f"For `torquelog wrench calibrate --dcc`: XML, `{ROOT}` in `{DCC}`, values in `{SI}`, schema version\n"
        f"{SCHEMA}x, at most {dcc_xml.LARGEST >> 20} MiB, {dcc_xml.DEEPEST} elements deep and {MOST} results. A\n"
        "DOCTYPE or an entity is refused. The digest of the file is kept; its signature is not checked.",
        "\n".join(rows),
        "Units are `\\newton\\metre` with or without a prefix, a symbol of the list below, or a code of\n"
        "Recommendation 20. What the file leaves open, the direction or whether the tool was adjusted, is asked for on\n"
        "a terminal; elsewhere `--direction` and `--state` say it. Any other part that lacks is named with its place.",
    ]
