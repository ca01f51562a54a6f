"""Views for other programs: readings, refusals, what else was done to fasteners, and how each was left last."""

from typing import Final

from torquelog.facts.public_form import (
    FIRST,
    NEWEST,
    Column,
    View,
    at,
    confirmation_of,
    counted,
    decimal,
    entry_of,
    fastener,
    member,
    moment,
    newton_metres,
    plain,
    real,
    recorded,
    reference,
    rounded,
    standing,
    struck_by,
    why,
    yes,
)

_PERFORMED: Final = "when the work was done"
_PERFORMED_BY: Final = ("performed_by", "id of the person who did it")
_JOB: Final = ("job", "the job")


def _listed(name: str) -> str:
    return f"(SELECT group_concat(value, ', ') FROM json_each(entry.text, '$.body.{name}'))"


_AS_READ: Final = f"({newton_metres('reading.value', 'reading.unit')})"

READINGS: Final = View(
    "public_readings",
    "One torque taken at one fastener. Refused attempts and struck readings are among them.",
    (
        entry_of("reading"),
        *plain("reading", _JOB),
        *fastener("reading"),
        Column(
            "step",
            "nullif(reading.step, '')",
            "the step of the card; NULL where the group's own torque is meant",
        ),
        Column("pass", "nullif(reading.pass, 0)", "the pass, a whole number; NULL where the step has none"),
        Column("act", "reading.act", "`tighten`, or `check`, which proves nothing about tightening"),
        at("performed_at", "reading.at", _PERFORMED),
        *plain("reading", _PERFORMED_BY),
        recorded("reading"),
        *plain("reading", ("signer", "id of the person who signed"), ("wrench", "number of the wrench")),
        Column(
            "adapters", _listed("adapter"), "numbers of the adapters, from the wrench outwards, after commas"
        ),
        Column(
            "indicated", "reading.value", "the torque set or read on the wrench, as it was read, in `unit`"
        ),
        Column("unit", "reading.unit", "the unit of `indicated`"),
        Column("gain", "reading.gain", "torque at the fastener per torque indicated, exact: `1`, `5/4`"),
        Column(
            "applied_nm",
            rounded(f"{_AS_READ} * {real('reading.gain')}"),
            "the torque at the fastener in N·m, rounded to six decimals for showing",
        ),
        Column(
            "low_nm",
            decimal("reading.low"),
            "lowest torque allowed at the fastener in N·m; NULL where it is open",
        ),
        Column(
            "high_nm", decimal("reading.high"), "highest torque allowed there in N·m; NULL where it is open"
        ),
        *plain(
            "reading",
            ("specified", "the limits as the card gives them"),
            ("direction", "`cw` or `ccw`"),
            ("outcome", "`within`, `below`, `above` or `refused`, as it was judged"),
        ),
        Column("loosened_first", yes("reading.loosened"), "whether the fastener was loosened first"),
        Column(
            "above_all", yes("reading.over"), "whether it is above all that the card allows at its last pass"
        ),
        Column("worn", yes("reading.worn"), "whether the run-on torque was outside the card's limits"),
        Column("certificate", "reading.certificate", "the wrench's certificate that it was judged by"),
        Column("calibration", "reading.calibration", "the entry that put this certificate on record"),
        Column(
            "grounds",
            "(SELECT group_concat(value, ', ') FROM json_tree(entry.text, '$.body.grounds') WHERE key = 'code')",
            "codes of the grounds of a refusal",
        ),
        Column("remarks", _listed("remarks"), "codes of the remarks"),
        Column("why", member("entry.text", "body.why"), "the reason, where one was demanded"),
        Column("corrects", member("entry.text", "body.corrects"), "the struck entry that it replaces"),
        Column("needs_confirmation", yes("reading.awaits"), "whether a second person has to confirm it"),
        Column(
            "confirmed_by",
            confirmation_of("reading", member("own.text", "signer")),
            "id of the person who did",
        ),
        struck_by("reading"),
    ),
    "FROM reading JOIN entry USING (station, number)",
)

REFUSALS: Final = View(
    "public_refusals",
    "One ground of one refused attempt: an attempt with two grounds has two rows.",
    (
        entry_of("reading"),
        at("performed_at", "reading.at", _PERFORMED),
        *plain("reading", _PERFORMED_BY, _JOB),
        *fastener("reading"),
        Column("wrench", "reading.wrench", "number of the wrench"),
        Column("ground", member("ground.value", "code"), "the code of the ground"),
        Column("tool", member("ground.value", "tool"), "the tool that it is about"),
        Column("message", member("ground.value", "message"), "the ground in a sentence"),
        struck_by("reading"),
    ),
    "FROM reading JOIN entry USING (station, number) JOIN json_each(entry.text, '$.body.grounds') AS ground "
    "WHERE reading.outcome = 'refused'",
)

ACTS: Final = View(
    "public_fastener_acts",
    "Something else that was done to a fastener.",
    (
        entry_of("fastener_act"),
        *plain("fastener_act", _JOB),
        *fastener("fastener_act"),
        *plain(
            "fastener_act",
            ("act", "`loosened`, `replaced`, `found` or `locked`"),
            ("what", "what was found (`sheared`, `loose`, `missing`, `damaged`), or how it was locked"),
        ),
        Column("fitted_part", "fastener_act.hardware", "part number of the hardware fitted"),
        Column("fitted_serial", "fastener_act.serial", "its serial number"),
        Column("fitted_lots", "fastener_act.lot", "its lots, after commas"),
        at("performed_at", "fastener_act.at", _PERFORMED),
        *plain("fastener_act", _PERFORMED_BY),
        recorded("fastener_act"),
        why("fastener_act"),
        struck_by("fastener_act"),
    ),
    "FROM fastener_act",
)

STEPS: Final = View(
    "public_steps",
    "A step of a card, a locking or an operational check that was done.",
    (
        entry_of("step_done"),
        *plain("step_done", _JOB),
        Column("fastener_group", "step_done.grp", "the group; NULL for a check of the whole job"),
        Column("fastener_number", "step_done.item", "the fastener's number; NULL for the whole group"),
        *plain(
            "step_done",
            ("step", "name of the step or check"),
            ("value", "what was seen or measured, as it was told"),
        ),
        at("performed_at", "step_done.at", _PERFORMED),
        *plain("step_done", _PERFORMED_BY),
        recorded("step_done"),
        why("step_done"),
        struck_by("step_done"),
    ),
    "FROM step_done",
)

PARTS: Final = View(
    "public_parts",
    "A part taken off or put on in a job.",
    (
        entry_of("part_change"),
        *plain("part_change", _JOB),
        Column("change", "part_change.direction", "`off` or `on`"),
        Column("part_number", "part_change.hardware", "its part number"),
        *plain("part_change", ("serial", "its serial number"), ("lot", "its lot")),
        at("performed_at", "part_change.at", _PERFORMED),
        *plain("part_change", _PERFORMED_BY),
        recorded("part_change"),
        why("part_change"),
        struck_by("part_change"),
    ),
    "FROM part_change",
)

INSPECTIONS: Final = View(
    "public_inspections",
    "One fastener as it was inspected.",
    (
        entry_of("inspection"),
        *plain("inspection", _JOB),
        *fastener("inspection"),
        Column("outcome", "inspection.outcome", "`accepted` or `rejected`"),
        Column(
            "own",
            yes("inspection.own"),
            "whether its performer looked again himself, as nobody else was there",
        ),
        Column(
            "wrenches_seen",
            "inspection.seen",
            "numbers of the wrenches that the inspector read, after commas",
        ),
        at("performed_at", "inspection.at", "when it was inspected"),
        Column("performed_by", "inspection.performed_by", "id of the person who inspected"),
        recorded("inspection"),
        why("inspection"),
        struck_by("inspection"),
    ),
    "FROM inspection",
)


def _last(table: str, name: str, condition: str = "") -> str:
    """The newest standing row of a table about a fastener, joined to it."""
    return (
        f"LEFT JOIN {table} AS {name} ON {name}.item = named.item "
        f"AND ({name}.station, {name}.number) = (SELECT station, number FROM {table} "
        f"WHERE {table}.owner = named.owner AND {table}.grp = named.grp AND {table}.item = named.item AND "
        f"{condition}{standing(table)} {NEWEST.format(table)})"
    )


FASTENERS: Final = View(
    "public_fasteners",
    "One fastener that anything is on record about, and what stands of it last. Whether it is tight now depends on its "
    "card and on where its assembly went: `torquelog trace fastener` and `job show` judge that.",
    (
        *fastener("named"),
        Column("last_reading", reference("taken"), "the newest reading that was taken, not refused"),
        Column("last_outcome", "taken.outcome", "its outcome"),
        Column("last_job", "taken.job", "its job"),
        Column("last_wrench", "taken.wrench", "its wrench"),
        at("last_performed_at", "taken.at", _PERFORMED),
        Column("tightened", reference("good"), "the newest tightening within its limits"),
        at("tightened_at", "good.at", "when that was done"),
        Column("last_refusal", reference("refused"), "the newest refused attempt"),
        Column("last_act", "done.act", "the newest act: `loosened`, `replaced`, `found` or `locked`"),
        at("last_act_at", "done.at", "when that was done"),
        Column("last_inspection", "seen.outcome", "the newest inspection: `accepted` or `rejected`"),
    ),
    "FROM (SELECT owner, grp, item FROM reading UNION SELECT owner, grp, item FROM fastener_act "
    "UNION SELECT owner, grp, item FROM inspection) AS named "
    + " ".join(
        (
            _last("reading", "taken", "outcome != 'refused' AND "),
            _last("reading", "good", "outcome = 'within' AND act = 'tighten' AND "),
            _last("reading", "refused", "outcome = 'refused' AND "),
            _last("fastener_act", "done"),
            _last("inspection", "seen"),
        )
    ),
)

_FIRST_JOB: Final = (
    f"NOT EXISTS (SELECT 1 FROM job AS other WHERE other.job = job.job AND {standing('other')} "
    "AND (other.recorded, other.station, other.number) < (job.recorded, job.station, job.number))"
)


def _closing(column: str) -> str:
    return (
        f"(SELECT {column} FROM job_closed WHERE job_closed.job = job.job AND {standing('job_closed')} "
        f"{FIRST.format('job_closed')})"
    )


JOBS: Final = View(
    "public_jobs",
    "One job. What holds an open one open is told by `torquelog job show`.",
    (
        *plain("job", _JOB, ("card", "the card it works by"), ("revision", "the card's revision")),
        Column("msn", "job.aircraft", "serial number of the aircraft; NULL where it is on none"),
        Column("position", "job.position", "where on that aircraft"),
        Column(
            "assemblies",
            "(SELECT group_concat(sort || '=' || assembly, ', ') FROM (SELECT sort, assembly FROM job_assembly "
            "WHERE job_assembly.station = job.station AND job_assembly.number = job.number ORDER BY part))",
            "its assemblies, kind, part and serial number: `wheel=EX-4410-1 WH-2231`, after commas",
        ),
        at("opened_at", "job.recorded", "when it was opened"),
        Column("opened_by", "job.opened_by", "id of the person who opened it"),
        Column(
            "closed_at", _closing(moment("job_closed.at")), "when it was closed (UTC); NULL while it is open"
        ),
        Column("closed_by", _closing("job_closed.closed_by"), "id of the person who closed it"),
        Column("entry", reference("job"), "the entry that opened it"),
    ),
    f"FROM job WHERE {standing('job')} AND {_FIRST_JOB}",
)


def _approval(column: str) -> str:
    return (
        f"(SELECT {column} FROM card_approval WHERE card_approval.digest = card.digest AND "
        f"{standing('card_approval')} AND {counted('card_approval')} {FIRST.format('card_approval')})"
    )


CARDS: Final = View(
    "public_cards",
    "One revision of a card.",
    (
        entry_of("card"),
        *plain(
            "card",
            ("card", "the card's name"),
            ("revision", "the revision of its document"),
            ("title", "what is done"),
            ("document", "the approved data that it was copied from"),
            ("date", "the date of that revision"),
            ("digest", "SHA-256 of its content, 64 hex digits"),
            ("drafter", "id of the person who loaded it"),
        ),
        recorded("card"),
        Column(
            "approved_at",
            _approval(moment("card_approval.at")),
            "when it was approved (UTC); NULL for a draft",
        ),
        Column("approved_by", _approval("card_approval.approver"), "id of the person who approved it"),
        struck_by("card"),
    ),
    "FROM card",
)

VIEWS: Final = (READINGS, REFUSALS, FASTENERS, ACTS, STEPS, PARTS, INSPECTIONS, JOBS, CARDS)
