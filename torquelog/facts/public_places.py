"""Views for other programs: stations and people, aircraft, assemblies and where they are, entries and strikes."""

from typing import Final

from torquelog.facts.public_form import (
    NEWEST,
    Column,
    View,
    at,
    confirmation_of,
    counted,
    entry_of,
    member,
    moment,
    owner,
    plain,
    recorded,
    reference,
    standing,
    struck_by,
    target,
    why,
    yes,
)

ENTRIES: Final = View(
    "public_entries",
    "One signed entry of a chain. Everything else here is made from these.",
    (
        entry_of("entry"),
        *plain("entry", ("station", "the station whose chain it is in"), ("number", "its number there")),
        Column("kind", member("entry.text", "kind"), "its kind, as the page on entries lists them"),
        Column("signer", member("entry.text", "signer"), "id of the person who signed"),
        Column("recorded_at", member("entry.text", "recorded_at"), "when it was recorded (UTC)"),
        struck_by("entry"),
    ),
    "FROM entry",
)

STRIKES: Final = View(
    "public_strikes",
    "One strike: an entry that says that another one was a mistake.",
    (
        entry_of("strike"),
        Column(
            "struck", target("strike.target_station", "strike.target_number"), "the entry that it strikes"
        ),
        recorded("strike"),
        Column("signer", member("entry.text", "signer"), "id of the person who struck it"),
        why("strike"),
        Column("needs_confirmation", yes("strike.awaits"), "whether a second person has to confirm it"),
        Column(
            "confirmed_by",
            confirmation_of("strike", member("own.text", "signer")),
            "id of the person who did",
        ),
    ),
    "FROM strike JOIN entry USING (station, number)",
)

_COUNTS: Final = (
    "station.code IN (SELECT station FROM home UNION SELECT code FROM station_acceptance AS accepted "
    f"WHERE accepted.station IN (SELECT station FROM home) AND {standing('accepted')})"
)

STATIONS: Final = View(
    "public_stations",
    "One station whose chain is in this file.",
    (
        Column("station", "station.code", "its code"),
        Column("zone", "station.zone", "its time zone, by IANA name"),
        Column("identity", "station.identity", "digest of its first entry, 64 hex digits"),
        Column(
            "own", yes("station.code IN (SELECT station FROM home)"), "whether this file is its own record"
        ),
        Column(
            "counts",
            yes(_COUNTS),
            "whether its signatures count here: its own, or of one that quality has accepted",
        ),
        at("began_at", "station.recorded", "when it began"),
    ),
    "FROM station",
)


def _first(table: str, *columns: str) -> str:
    same = " AND ".join(f"other.{column} = {table}.{column}" for column in columns)
    return (
        f"NOT EXISTS (SELECT 1 FROM {table} AS other WHERE {same} AND {standing('other')} AND "
        f"(other.recorded, other.station, other.number) < ({table}.recorded, {table}.station, {table}.number))"
    )


PEOPLE: Final = View(
    "public_people",
    "One person, as first enrolled anywhere.",
    (
        *plain(
            "person",
            ("person", "the person's id"),
            ("name", "full name"),
            ("licence", "licence number and kind"),
            ("station", "the station that enrolled them first"),
        ),
        at("enrolled_at", "person.recorded", "when"),
        entry_of("person"),
    ),
    f"FROM person WHERE {_first('person', 'person')}",
)

ROLES: Final = View(
    "public_roles",
    "One role that a person holds at a station, as it was given last. It has ended where `until` is past.",
    (
        *plain(
            "held",
            ("station", "the station"),
            ("person", "the person's id"),
            ("role", "`technician`, `inspector`, `crib` or `quality`"),
            ("inspects", "what may be inspected; NULL where no bound is on record"),
        ),
        at("granted_at", "held.recorded", "when it was given"),
        at("until", "held.until", "when it ends, not included; NULL where it lasts until it is taken away"),
        entry_of("held"),
    ),
    f"FROM role_change AS held WHERE held.held = 1 AND {standing('held')} AND NOT EXISTS (SELECT 1 FROM role_change "
    "AS later WHERE later.station = held.station AND later.person = held.person AND later.role = held.role "
    f"AND (later.number, later.part) > (held.number, held.part) AND {standing('later')})",
)


def registration(msn: str) -> str:
    """The registration that an aircraft bears: its newest, unless another aircraft was given it since."""
    return (
        f"(SELECT own.registration FROM registration AS own WHERE own.msn = {msn} AND {standing('own')} "
        "AND NOT EXISTS (SELECT 1 FROM registration AS other WHERE other.msn = own.msn AND "
        "(other.at, other.recorded, other.station, other.number) > (own.at, own.recorded, own.station, own.number) "
        f"AND {standing('other')}) AND NOT EXISTS (SELECT 1 FROM registration AS other "
        "WHERE other.registration = own.registration AND other.msn != own.msn AND "
        "(other.at, other.recorded, other.station, other.number) > (own.at, own.recorded, own.station, own.number) "
        f"AND {standing('other')}))"
    )


AIRCRAFT: Final = View(
    "public_aircraft",
    "One aircraft.",
    (
        *plain("aircraft", ("msn", "the manufacturer's serial number"), ("type", "its type")),
        Column(
            "registration", registration("aircraft.msn"), "the registration it bears; NULL where it has none"
        ),
        entry_of("aircraft"),
    ),
    f"FROM aircraft WHERE {standing('aircraft')} AND {_first('aircraft', 'msn')}",
)

REGISTRATIONS: Final = View(
    "public_registrations",
    "One registration that an aircraft bore from a day on.",
    (
        entry_of("registration"),
        *plain("registration", ("msn", "the aircraft's serial number"), ("registration", "the registration")),
        at("since", "registration.at", "from when: the start of that day at the station"),
        struck_by("registration"),
    ),
    "FROM registration",
)

_KEY: Final = "assembly.part_number || ' ' || assembly.serial"
_MOVE: Final = (
    f"FROM placement WHERE placement.assembly = {_KEY} AND act IN ('fit', 'remove', 'move', 'take-apart') "
    f"AND {standing('placement')} {NEWEST.format('placement')}"
)
_HOLD: Final = (
    f"FROM placement WHERE placement.assembly = {_KEY} AND act IN ('hold', 'release') "
    f"AND {standing('placement')} {NEWEST.format('placement')}"
)
_PLACE: Final = (
    "CASE WHEN move.act IS NULL THEN 'unknown' WHEN move.act = 'fit' THEN 'aircraft' WHEN move.act = 'take-apart' "
    "THEN 'apart' WHEN move.destination IS NULL THEN 'unknown' WHEN move.destination IN ('stores', 'shop', 'scrap') "
    "THEN move.destination ELSE 'other' END"
)
_FITTED: Final = "iif(move.act = 'fit', {0}, NULL)"

ASSEMBLIES: Final = View(
    "public_assemblies",
    "One assembly and where it is.",
    (
        *plain("assembly", ("part_number", "its part number"), ("serial", "its serial number")),
        Column("kind", "assembly.sort", "what it is: `wheel`, `brake`, …"),
        Column("place", _PLACE, "`aircraft`, `stores`, `shop`, `scrap`, `apart`, `other` or `unknown`"),
        Column("msn", _FITTED.format("move.aircraft"), "serial number of the aircraft that it is on"),
        Column("registration", _FITTED.format(registration("move.aircraft")), "that aircraft's registration"),
        Column("position", _FITTED.format("move.position"), "where on that aircraft"),
        Column("other_place", f"iif({_PLACE} = 'other', move.destination, NULL)", "the other place in words"),
        at("since", "move.at", "since when; NULL where nobody ever said where it is"),
        Column("held", yes("hold.act = 'hold'"), "whether it is held back and must not be fitted"),
        Column("held_why", "iif(hold.act = 'hold', hold.why, NULL)", "the reason for that"),
        entry_of("assembly"),
    ),
    "FROM assembly LEFT JOIN placement AS move ON (move.station, move.number) = (SELECT station, number "
    f"{_MOVE}) LEFT JOIN placement AS hold ON (hold.station, hold.number) = (SELECT station, number {_HOLD}) "
    f"WHERE {standing('assembly')} AND {_first('assembly', 'part_number', 'serial')}",
)

PLACEMENTS: Final = View(
    "public_placements",
    "One move of an assembly, or one hold.",
    (
        entry_of("placement"),
        Column("part_number", "substr(assembly, 1, instr(assembly, ' ') - 1)", "part number of the assembly"),
        Column("serial", "substr(assembly, instr(assembly, ' ') + 1)", "its serial number"),
        Column("act", "placement.act", "`fit`, `remove`, `move`, `take-apart`, `hold` or `release`"),
        Column("msn", "placement.aircraft", "serial number of the aircraft, for `fit` and `remove`"),
        Column("position", "placement.position", "where on that aircraft"),
        Column(
            "destination", "placement.destination", "`stores`, `shop`, `scrap`, or another place in words"
        ),
        at("at", "placement.at", "when"),
        recorded("placement"),
        why("placement"),
        struck_by("placement"),
    ),
    "FROM placement",
)


def _closing(column: str) -> str:
    return (
        f"(SELECT {column} FROM recall_closed AS closing WHERE closing.recall_station = recall.station "
        f"AND closing.recall_number = recall.number AND (closing.station = recall.station OR {counted('closing')}) "
        "ORDER BY closing.recorded DESC, closing.station DESC, closing.number DESC LIMIT 1)"
    )


RECALLS: Final = View(
    "public_recalls",
    "One recall as it was opened, and its newest closing. What it finds today is judged by `torquelog recall show`.",
    (
        *plain("recall", ("station", "the station that opened it"), ("recall", "its number there: `R-1`")),
        Column(
            "subject",
            "nullif(recall.subject, '')",
            "`wrench`, `adapter`, `tester`, `lot`, `person`, `card` or `shop`; NULL where it goes by time alone",
        ),
        Column("name", "nullif(recall.name, '')", "what that names"),
        *plain(
            "recall",
            ("revision", "the only revision of a card that is meant"),
            ("calibration", "the entry of the certificate that it rests on"),
        ),
        at("since", "recall.since", "the beginning of its window, included"),
        at("until", "recall.until", "the end of its window, included"),
        at("opened_at", "recall.recorded", "when it was opened"),
        Column("opened_by", "recall.signer", "id of the person who opened it"),
        Column(
            "items",
            "(SELECT coalesce(sum(last - first + 1), 0) FROM recall_run WHERE recall_run.station = recall.station "
            "AND recall_run.number = recall.number)",
            "how many fasteners were numbered at its opening, a whole number",
        ),
        Column("closed_at", _closing(moment("closing.recorded")), "when it was closed last (UTC)"),
        Column("closed_by", _closing("closing.signer"), "id of the person who closed it"),
        why("recall"),
        Column("entry", reference("recall"), "the entry that opened it"),
    ),
    "FROM recall",
)


_DECISION: Final = (
    "SELECT disposition.station, disposition.number FROM disposition JOIN disposition_run AS run USING (station, number) "
    "WHERE disposition.recall_station = item.station AND disposition.recall_number = item.number "
    "AND run.owner = item.owner AND run.grp = item.grp AND item.item BETWEEN run.first AND run.last "
    f"AND (disposition.station = item.station OR {counted('disposition')}) "
    "ORDER BY disposition.recorded DESC, disposition.station DESC, disposition.number DESC LIMIT 1"
)

RECALL_ITEMS: Final = View(
    "public_recall_items",
    "One fastener that was numbered when a recall was opened, and the newest decision about it. The verdict on each, "
    "and fasteners that came into the window later, are told by `torquelog recall show`.",
    (
        *plain(
            "item", ("station", "the station that opened the recall"), ("recall", "the recall's number there")
        ),
        Column(
            "item",
            "row_number() OVER (PARTITION BY item.station, item.number ORDER BY item.part, item.item)",
            "its number in the recall, from 1",
        ),
        *owner("item"),
        Column("fastener", "item.grp || ':' || item.item", "the fastener, group and number: `tie-bolt:3`"),
        Column(
            "decision",
            "decided.decision",
            "the newest decision about it; NULL where there is none",
        ),
        Column("decided_at", moment("decided.recorded"), "when it was decided (UTC)"),
        Column("decided_by", "decided.signer", "id of the person who decided"),
        Column("why", "decided.why", "the reason"),
        Column("reading", "decided.reading", "the reading that tightened it again"),
        Column("document", "decided.document", "the approved data or the letter behind it"),
        Column("decision_entry", reference("decided"), "the entry that decided"),
    ),
    "FROM (WITH RECURSIVE each(station, number, part, owner, grp, item, last) AS (SELECT station, number, part, owner, "
    "grp, first, last FROM recall_run UNION ALL SELECT station, number, part, owner, grp, item + 1, last FROM each "
    "WHERE item < last) SELECT each.*, recall.recall FROM each JOIN recall USING (station, number)) AS item "
    f"LEFT JOIN disposition AS decided ON (decided.station, decided.number) = ({_DECISION})",
)

VIEWS: Final = (
    ENTRIES, STRIKES, STATIONS, PEOPLE, ROLES, AIRCRAFT, REGISTRATIONS, ASSEMBLIES, PLACEMENTS, RECALLS, RECALL_ITEMS,
)  # fmt: skip
