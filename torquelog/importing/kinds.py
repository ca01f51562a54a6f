"""The kinds of files that can be brought in."""

from collections.abc import Mapping
from typing import Final

from torquelog.importing import readings, tools
from torquelog.importing.unit import Kind
from torquelog.work.foreseeing import foresee

KINDS: Final[Mapping[str, Kind]] = {
    "readings": Kind(
        "readings", "reading", None, readings.read, readings.act, readings.column_of, repeats=True,
        foresee=foresee,
    ),
    "wrenches": Kind("wrenches", "tool", None, tools.read_wrench, tools.register_wrench, tools.column_of),
    "calibrations": Kind(
        "calibrations", "calibration", tools.certificate_key, tools.read_certificate, tools.calibrate, tools.column_of,
    ),
    "assemblies": Kind(
        "assemblies", "assembly", None, tools.read_assembly, tools.add_assembly, tools.column_of
    ),
}  # fmt: skip
"""By the name of the command."""
