"""On which fasteners a lot of hardware is, and from which reading on, as SQL over the facts.

A lot is on a fastener from the act or the reading that names it, until the same part was replaced by another. Where
nobody told which part a lot was, nothing says that it has gone: then it is shown rather than missed.
"""

from typing import Final

_STANDS: Final = (
    "NOT EXISTS (SELECT 1 FROM strike WHERE strike.target_station = {0}.station "
    "AND strike.target_number = {0}.number AND strike.known <= :known)"
)
_NAMES_IT: Final = (
    "EXISTS (SELECT 1 FROM hardware_lot WHERE hardware_lot.lot = :name "
    "AND hardware_lot.station = {0}.station AND hardware_lot.number = {0}.number)"
)
_ORDER: Final = "({0}.at, {0}.recorded, {0}.station, {0}.number)"
_COUNTS: Final = (
    "{0}.owner = reading.owner AND {0}.grp = reading.grp AND {0}.item = reading.item "
    f"AND {{0}}.known <= :known AND {_STANDS} AND {_ORDER} < {_ORDER.format('reading')}"
)
"""It is about the reading's fastener, stands, and came before the reading."""

_WHERE_NAMED: Final = " UNION ".join(
    f"SELECT owner, grp, item FROM {table} JOIN hardware_lot USING (station, number) WHERE hardware_lot.lot = :name"
    for table in ("fastener_act", "reading")
)
_REPLACED_SINCE: Final = (
    f"EXISTS (SELECT 1 FROM fastener_act AS later WHERE {_COUNTS.format('later')} AND later.act = 'replaced' "
    f"AND later.hardware = fitted.hardware AND NOT {_NAMES_IT.format('later')} "
    f"AND {_ORDER.format('later')} > {_ORDER.format('fitted')})"
)
_FITTED: Final = (
    f"EXISTS (SELECT 1 FROM fastener_act AS fitted WHERE {_COUNTS.format('fitted')} "
    f"AND {_NAMES_IT.format('fitted')} AND NOT {_REPLACED_SINCE})"
)
_NAMED_BEFORE: Final = (
    f"EXISTS (SELECT 1 FROM reading AS named WHERE {_COUNTS.format('named')} AND {_NAMES_IT.format('named')})"
)

OF_LOT: Final = (
    f"({_NAMES_IT.format('reading')} OR (owner, grp, item) IN ({_WHERE_NAMED}) "
    f"AND ({_FITTED} OR {_NAMED_BEFORE}))"
)
"""SQL for "the hardware under this reading is of the lot :name, as far as known by :known"."""
