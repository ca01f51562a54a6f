"""Views for other programs: tools with their certificates and due dates, where they are, and what befell them."""

from typing import Final

from torquelog.facts.public_form import (
    FIRST,
    NEWEST,
    Column,
    View,
    at,
    counted,
    entry_of,
    moment,
    plain,
    recorded,
    reference,
    standing,
    struck_by,
    why,
    yes,
)

_TOOL: Final = ("tool", "the tool's number")
_SIGNER: Final = ("signer", "id of the person who signed")
_ORDER: Final = "({0}.at, {0}.recorded, {0}.station, {0}.number)"


def _later_day(day: str, interval: str) -> str:
    """A day an interval later, as text; a day that the month does not have becomes its last one."""
    return (
        f"iif(instr({interval}, 'month') OR instr({interval}, 'year'), min(date({day}, '+' || {interval}), "
        f"date({day}, 'start of month', '+' || {interval}, '+1 month', '-1 day')), "
        f"date({day}, '+' || (iif(instr({interval}, 'week'), 7, 1) * CAST({interval} AS INTEGER)) || ' days'))"
    )


def _limit(column: str, key: str) -> str:
    """A limit as quality set it last, here or at an accepted station; another station's word only shortens it."""
    told = "{0}.tool = tool.tool AND {0}." + column + " IS NOT NULL AND "
    counts = f"{told.format('later')}{standing('later')} AND {counted('later')}"
    return (
        f"(SELECT value FROM (SELECT tool.{column} AS value "
        f"WHERE NOT EXISTS (SELECT 1 FROM tool_limits AS later WHERE {counts}) "
        f"UNION ALL SELECT told.{column} FROM tool_limits AS told WHERE {told.format('told')}{standing('told')} "
        f"AND NOT EXISTS (SELECT 1 FROM tool_limits AS later WHERE {counts} "
        f"AND {_ORDER.format('later')} > {_ORDER.format('told')})) "
        f"WHERE value IS NOT NULL ORDER BY {key} LIMIT 1)"
    )


_EVERY: Final = _limit("every", _later_day("'2000-01-01'", "value"))
_CYCLES: Final = _limit("cycles", "value")

_NEWEST_ACCEPTED: Final = (
    "FROM calibration WHERE calibration.tool = tool.tool AND "
    + standing("calibration")
    + " AND EXISTS (SELECT 1 FROM acceptance WHERE calibration_station = calibration.station "
    f"AND calibration_number = calibration.number AND {standing('acceptance')}) "
    "ORDER BY made_on DESC, recorded DESC, station DESC, number DESC LIMIT 1"
)
_WITHDRAWN: Final = (
    "EXISTS (SELECT 1 FROM withdrawal WHERE calibration_station = governs.station "
    f"AND calibration_number = governs.number AND {standing('withdrawal')})"
)
_GOVERNING: Final = (
    f"LEFT JOIN calibration AS governs ON (governs.station, governs.number) = (SELECT station, number "
    f"{_NEWEST_ACCEPTED}) AND NOT {_WITHDRAWN}"
)
_BY_INTERVAL: Final = _later_day("governs.made_on", "tool.period")
_DUE: Final = f"(SELECT min(day) FROM (SELECT governs.due AS day UNION ALL SELECT {_BY_INTERVAL}))"


def _where(column: str) -> str:
    return (
        f"(SELECT {column} FROM custody WHERE custody.tool = tool.tool AND {standing('custody')} "
        f"{NEWEST.format('custody')})"
    )


_KIND: Final = (
    "CASE act WHEN 'issue' THEN iif(person IS NULL, 'place', 'person') WHEN 'send' THEN 'away' "
    "WHEN 'retire' THEN 'retired' ELSE 'crib' END"
)


def _lasts(begins: str, ends: str) -> str:
    """Whether something that befell a tool lasts."""
    return yes(
        f"'{begins}' = (SELECT what FROM condition WHERE condition.tool = tool.tool "
        f"AND what IN ('{begins}', '{ends}') AND {standing('condition')} {NEWEST.format('condition')})"
    )


_SCALES: Final = (
    "(SELECT group_concat(iif(low = high, low, low || '..' || high) || ' ' || unit "
    "|| coalesce(' by ' || graduation, ''), ', ') FROM (SELECT * FROM tool_scale "
    "WHERE tool_scale.station = tool.station AND tool_scale.number = tool.number ORDER BY part))"
)
_FIRST_OF_NUMBER: Final = (
    f"NOT EXISTS (SELECT 1 FROM tool AS other WHERE other.tool = tool.tool AND {standing('other')} "
    "AND (other.recorded, other.station, other.number) < (tool.recorded, tool.station, tool.number))"
)

TOOLS: Final = View(
    "public_tools",
    "One tool as it is registered and as it stands. Whether it may be used is judged by `torquelog wrench check`.",
    (
        *plain(
            "tool",
            _TOOL,
            ("sort", "`wrench`, `adapter` or `tester`"),
            ("type", "`setting`, `indicating` or `preset`; NULL for adapters and testers"),
        ),
        Column(
            "scales",
            _SCALES,
            "its scales: `20..100 N·m by 0.5`, after commas; one torque alone where it is preset",
        ),
        Column("lever", "tool.lever_value", "centre of the square to where the hand pulls, in `lever_unit`"),
        Column("lever_unit", "tool.lever_unit", "the unit of `lever`"),
        Column("length", "tool.length_value", "length of an adapter as registered, in `length_unit`"),
        Column("length_unit", "tool.length_unit", "the unit of `length`"),
        Column("angle", "tool.angle", "angle of an adapter to the lever in degrees"),
        Column("multiplier", "tool.multiplier", "torque out per torque in, as registered"),
        Column("accuracy", "tool.accuracy", "largest deviation allowed in percent"),
        Column(
            "every", "tool.period", "its interval of calibration, as registered or as quality set it later"
        ),
        Column("cycles", _CYCLES, "uses allowed after a calibration, in the same way; a whole number"),
        *plain(
            "tool",
            ("maker", "who made it"),
            ("serial", "the maker's serial number"),
            ("owner", "`company`, `personal` or `loan`"),
            ("place", "where it is kept in the crib"),
            ("use", "`before-use` (checked before use), `indication-only`, or NULL"),
        ),
        Column(
            "whereabouts",
            f"coalesce({_where(_KIND)}, 'crib')",
            "`crib`, `person`, `place`, `away` or `retired`",
        ),
        Column("with_person", _where("iif(act = 'issue', person, NULL)"), "id of the person who has it"),
        Column("at_place", _where("place"), "the place where it lies or was sent"),
        Column("for_job", _where("iif(act = 'issue', job, NULL)"), "the job that it is out for"),
        Column("since", _where(moment("custody.at")), "since when (UTC); NULL where it never left the crib"),
        Column("quarantined", _lasts("quarantined", "released"), "whether it is in quarantine"),
        Column("lost", _lasts("lost", "found"), "whether it was reported lost and not found"),
        Column("restricted", _lasts("restricted", "unrestricted"), "whether a restriction lasts"),
        Column("certificate", "governs.certificate", "the certificate that counts: the newest accepted one"),
        Column("calibration", reference("governs"), "the entry that put this certificate on record"),
        Column("calibrated_on", "governs.made_on", "the day of that calibration"),
        Column(
            "due",
            _DUE,
            "the due date: the certificate's, or the interval's where that is earlier",
        ),
        Column("entry", reference("tool"), "the entry that registered it"),
    ),
    f"FROM (SELECT *, {_EVERY} AS period FROM tool WHERE {standing('tool')} AND {_FIRST_OF_NUMBER}) AS tool {_GOVERNING}",
)

_OF: Final = "calibration_station = calibration.station AND calibration_number = calibration.number"


def _told(table: str, column: str) -> str:
    return f"(SELECT {column} FROM {table} WHERE {_OF} AND {standing(table)} {FIRST.format(table)})"


CALIBRATIONS: Final = View(
    "public_calibrations",
    "One certificate of a tool.",
    (
        entry_of("calibration"),
        *plain(
            "calibration",
            _TOOL,
            ("certificate", "the certificate's number"),
            ("laboratory", "who issued it; empty where that was not told"),
            ("standard", "the standard it was measured with"),
            ("tester", "the registered tester it was measured on"),
            ("made_on", "the day of the calibration"),
            ("found_on", "the day of the results as found, where it is another"),
            ("due", "the due date on it"),
        ),
        Column("length", "calibration.length_value", "the length measured of an adapter, in `length_unit`"),
        Column("length_unit", "calibration.length_unit", "the unit of `length`"),
        *plain(
            "calibration",
            ("multiplier", "the ratio measured of a multiplier"),
            ("edition", "the standard that it follows, with its edition"),
            ("decision", "its decision rule; NULL for simple acceptance"),
            ("file", "SHA-256 of the file that the results came from, 64 hex digits"),
        ),
        recorded("calibration"),
        why("calibration"),
        Column(
            "accepted_at", _told("acceptance", moment("acceptance.recorded")), "when it was accepted (UTC)"
        ),
        Column("accepted_by", _told("acceptance", "acceptance.signer"), "id of the person who accepted it"),
        Column(
            "withdrawn_at", _told("withdrawal", moment("withdrawal.recorded")), "when it was withdrawn (UTC)"
        ),
        Column("withdrawn_why", _told("withdrawal", "withdrawal.why"), "who withdrew it, and why"),
        struck_by("calibration"),
    ),
    "FROM calibration",
)

POINTS: Final = View(
    "public_calibration_points",
    "One result of a certificate.",
    (
        Column("calibration", reference("point"), "the certificate's entry, as in `public_calibrations`"),
        Column("tool", "calibration.tool", "the tool's number"),
        *plain(
            "point",
            ("state", "`as-found`, `as-left` or `unchanged` (found so and left so)"),
            ("direction", "`cw` or `ccw`"),
            ("indicated", "what the tool showed or was set to, in `unit`"),
            ("reference", "what the standard measured, in `unit`"),
            ("unit", "the unit of the three torques of this row"),
            ("repeat", "which repetition, a whole number from 1"),
            ("uncertainty", "expanded uncertainty of the reference, in `unit`"),
            ("k", "its coverage factor"),
        ),
        struck_by("point"),
    ),
    "FROM calibration_point AS point JOIN calibration USING (station, number)",
)

CUSTODY: Final = View(
    "public_custody",
    "One move of a tool.",
    (
        entry_of("custody"),
        *plain(
            "custody",
            _TOOL,
            ("act", "`issue`, `return`, `send`, `receive` or `retire`"),
            ("person", "id of the person whom it was issued to"),
            ("place", "where it went"),
            ("job", "the job that it was issued for"),
            ("uses", "uses elsewhere that were told with it, a whole number"),
        ),
        at("at", "custody.at", "when"),
        recorded("custody"),
        *plain("custody", _SIGNER),
        why("custody"),
        struck_by("custody"),
    ),
    "FROM custody",
)


def _bound(end: str) -> str:
    return f"condition.{end}_value || ' ' || condition.{end}_unit"


CONDITIONS: Final = View(
    "public_conditions",
    "One thing that befell a tool, or that was said about its use.",
    (
        entry_of("condition"),
        *plain(
            "condition",
            _TOOL,
            (
                "what",
                "`dropped`, `overloaded`, `damaged`, `repaired`, `lost`, `found`, `check-failed`, `quarantined`, "
                "`released`, `restricted` or `unrestricted`",
            ),
        ),
        Column("low", _bound("low"), "of a restriction: not to be used below this torque, with its unit"),
        Column("high", _bound("high"), "of a restriction: not to be used above this torque, with its unit"),
        Column(
            "direction", "condition.direction", "of a restriction: the only direction allowed, `cw` or `ccw`"
        ),
        at("at", "condition.at", "since when it counts"),
        recorded("condition"),
        *plain("condition", _SIGNER),
        why("condition"),
        struck_by("condition"),
    ),
    "FROM condition",
)

USES: Final = View(
    "public_tool_uses",
    "One use of a tool, or several told at once.",
    (
        Column("entry", reference("tool_use"), "the entry that names it: a reading, a return, a check"),
        *plain(
            "tool_use",
            _TOOL,
            ("role", "`wrench`, `adapter`, `run-on-wrench`, `run-on-adapter`, `elsewhere` or `tested`"),
            ("uses", "how many actuations, a whole number"),
        ),
        at("at", "tool_use.at", "when"),
        struck_by("tool_use"),
    ),
    "FROM tool_use",
)

CHECKS: Final = View(
    "public_tester_checks",
    "One pair of a check of a tool on a tester.",
    (
        entry_of("checked"),
        *plain("checked", _TOOL, ("tester", "the tester's number")),
        at("at", "checked.at", "when"),
        Column("indicated", "pair.value", "what the tool showed or was set to, in `unit`"),
        Column("unit", "pair.unit", "the unit of `indicated`"),
        Column("reference", "pair.reference", "what the tester measured, in `reference_unit`"),
        *plain("pair", ("reference_unit", "the unit of `reference`"), ("direction", "`cw` or `ccw`")),
        Column("accuracy", "checked.accuracy", "the deviation that it was judged by, in percent"),
        Column("outcome", "checked.outcome", "of the whole check: `within`, or `outside` where one pair is"),
        *plain("checked", _SIGNER),
        why("checked"),
        struck_by("checked"),
    ),
    "FROM tester_check AS checked JOIN tester_check_pair AS pair USING (station, number)",
)

LIMITS: Final = View(
    "public_tool_limits",
    "One change of a tool's interval or cycle limit.",
    (
        entry_of("tool_limits"),
        *plain(
            "tool_limits",
            _TOOL,
            ("every", "the interval from then on; NULL where it stayed as it was"),
            ("cycles", "the cycle limit from then on, a whole number; NULL where it stayed as it was"),
        ),
        recorded("tool_limits"),
        *plain("tool_limits", _SIGNER),
        why("tool_limits"),
        struck_by("tool_limits"),
    ),
    "FROM tool_limits",
)

VIEWS: Final = (TOOLS, CALIBRATIONS, POINTS, CUSTODY, CONDITIONS, USES, CHECKS, LIMITS)
