"""The names of what a recall says: why one is called for, why a verdict is what it is, what is not covered.

The codes are stable; `docs/reference/codes.md` prints them.
"""

from typing import Final

CAUSES: Final = {
    "check-failed": "the tool failed a check on a tester",
    "damaged": "the tool was damaged",
    "dropped": "the tool was dropped",
    "failed-as-found": "a result as found lies outside the tool's accuracy",
    "lost": "the tool was lost",
    "measured-different": "an adapter was measured more than a hundredth off what it was used as",
    "overloaded": "the tool was overloaded",
    "withdrawn": "a certificate was withdrawn",
}
"""What calls for a recall."""

REASONS: Final = {
    "above-the-points": "above the calibrated points",
    "below-the-points": "below the calibrated points",
    "between-good-and-bad": "between a good and a bad point",
    "certificate-withdrawn": "the certificate was withdrawn",
    "direction-not-calibrated": "not calibrated in this direction",
    "no-result-as-found": "no results as found",
    "no-result-as-left": "no results as left",
    "not-monotone": "the results contradict each other",
    "over-torque-before": "an earlier torque was above all that the card allows",
    "run-on-outside": "the run-on torque was outside its limits",
    "run-on-unknown": "the run-on torque is not known",
    "uncertainty-not-given": "the certificate gives no uncertainty",
    "uncertainty-spans-limit": "the uncertainty spans the limit",
}
"""Why an item's verdict is what it is."""

GAPS: Final = {
    "direction": "readings in a direction that no certificate speaks of",
    "found-by-tester": "what the recalled tester said of how tools were found, which concerns work before",
    "interval-without-as-found": "a time that ended without results as found",
    "stations": "records of other stations, but for what was taken in",
    "uses-elsewhere": "uses that were told without readings",
}
"""What a recall does not cover."""
