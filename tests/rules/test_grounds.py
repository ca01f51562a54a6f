"""The names of grounds and remarks, code by code."""

from torquelog.rules.grounds import GROUNDS, REMARKS

GROUND_CODES = {
    "as-left-failed": "the last certificate leaves it outside its accuracy",
    "as-left-missing": "the last certificate does not say how it was left",
    "away": "it has been sent away and was not received back",
    "check-failed": "it failed a check on a tester since its calibration",
    "cycles-used": "its cycle limit is reached",
    "damaged": "it was damaged since its calibration",
    "direction": "it is not calibrated in this direction",
    "dropped": "it was dropped since its calibration",
    "in-the-future": "the work is said to be done later than now",
    "indication-only": "it may indicate, not be used for a demanded torque",
    "lost": "it is reported lost",
    "needs-check": "it has to be checked before use and was not",
    "no-lever": "it has no lever, and an adapter needs one",
    "no-scale": "it has no scale in this unit",
    "not-accepted": "its certificate is not accepted yet",
    "not-calibrated": "it has no calibration on record",
    "outside-calibrated-range": "the reading lies outside what the certificate covers",
    "outside-range": "the reading lies outside its range",
    "overloaded": "it was overloaded since its calibration",
    "past-due": "its due date has passed",
    "quarantined": "it is in quarantine",
    "repaired": "it was repaired since its calibration",
    "restricted": "a restriction excludes this use",
    "retired": "it is retired",
}

REMARK_CODES = {
    "accuracy-share": "the tool's accuracy uses more than the named share of the limits",
    "already-tight": "the fastener was tight already, so this is a check",
    "awaits-confirmation": "a second person has to confirm this entry",
    "before-approval": "the work was done before its card was approved",
    "before-job": "the work was done before its job was opened",
    "beside": "another job is open on the same fasteners",
    "both-sides": "the inspector performed other work in the same job",
    "changed-meanwhile": "somebody wrote meanwhile, and a row came out otherwise than it was judged",
    "coarse-graduation": "the graduation is coarser than a tenth of the tolerance",
    "crib-facts": "the tool is known from another station, as of the last entry held of that",
    "first-certificate": "the first certificate was told late; it counts from its calibration day",
    "hold-passed": "an inspection was to come before what covers the work",
    "late": "entered later than the station's rule allows without notice",
    "late-certificate": "the certificate is dated after the previous one had lapsed",
    "loosen-first": "the fastener has to be loosened before a tightening counts",
    "more-errors": "more is wrong with a file than is shown",
    "not-issued": "the tool is not issued to this person or job",
    "order": "not the next fastener in the card's order",
    "other-assembly": "another assembly than the job names was at the position",
    "other-wrench": "another wrench than before in this group",
    "own-answer": "somebody answered about entries of their own, as nobody else could",
    "own-approval": "the drafter approved the card, as nobody else could",
    "own-confirmation": "the performer confirmed the entry, as nobody else could",
    "own-hand-over": "the same person handed the job over and took it over",
    "own-inspection": "the performer looked again, as nobody else was there",
    "performed-by-other": "signed by another person than the one who performed the work",
    "run-on-low": "the run-on torque is below the card's minimum: replace the nut",
    "runs-out": "the tool runs out of date or cycles within this job",
    "same-row": "a row that stands in the file before, word for word",
    "signature-not-checked": "the certificate's file bears a signature, which was not checked",
    "thread-torque": "the torque is about twelve times off the handbook range for its thread",
    "told-late": "facts of a later time are on record already",
}


def test_the_grounds_for_refusing_a_tool_are_these() -> None:
    """Entries name them by their codes, so none changes or goes; each has its meaning."""
    assert GROUND_CODES == GROUNDS


def test_the_remarks_are_these() -> None:
    """Readings bear them by their codes, so none changes or goes; each has its meaning."""
    assert REMARK_CODES == REMARKS
