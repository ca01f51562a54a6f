"""The Python face of torquelog: compute, and ask a record, which is opened for reading only.

Everything here is typed and frozen, and whatever can be wrong with a value, a name or a file is a `TorquelogError`
with a code that never changes. What is named in `__all__` stays; nothing else of torquelog is meant for others.
"""

from torquelog.api._computing import applied, convert, setting
from torquelog.api._record import Record, open_record
from torquelog.api._results import (
    Applied,
    Converted,
    Fastener,
    Fitness,
    Hold,
    Job,
    Place,
    Recall,
    RecallItem,
    Setting,
    Trace,
    Traced,
    Whereabouts,
)
from torquelog.errors import TorquelogError
from torquelog.rules.grounds import Ground, Remark
from torquelog.torque.units import Torque

__all__ = [
    "Applied",
    "Converted",
    "Fastener",
    "Fitness",
    "Ground",
    "Hold",
    "Job",
    "Place",
    "Recall",
    "RecallItem",
    "Record",
    "Remark",
    "Setting",
    "Torque",
    "TorquelogError",
    "Trace",
    "Traced",
    "Whereabouts",
    "applied",
    "convert",
    "open_record",
    "setting",
]
