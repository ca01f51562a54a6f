"""What means something in what strangers write, for mutations to put in."""

from typing import Final

JSON_WORDS: Final = (
    '"', "{", "}", "[", "]", ":", ",", "\\u0000", "\\ud800", "\\u202e", "NaN", "-Infinity", "1e999",
    "9007199254740993", "null", "true", "-0", "0.1", "\ufeff",
)  # fmt: skip

XML_WORDS: Final = (
    "<!DOCTYPE a [", '<!ENTITY a "b">', "&a;", "&#x0;", "&#27;", "<![CDATA[", "]]>", "<!--", "<?xml ",
    "?>", 'xmlns="', "xmlns:", "dcc:", "si:", "si:valueXMLList", "si:unitXMLList", "\\newton\\metre",
    "\\foot", "refType", 'lang="en"',
)  # fmt: skip

TEXT_WORDS: Final = (
    "\x1b[31m", "\x9b31m", "\u202e", "\u200b", "\u0301", "\ufe0f", "\u2028", "<script>", "=1+1", "@SUM(", "+1", "\t",
    "\r\n", "\U000e0001", "\ufdfa", "\ufb00", "İ", "ß", "\uff41", "\U0001f468\u200d\U0001f469", "\udc80",
)  # fmt: skip

QUANTITY_WORDS: Final = (
    "N·m", "lbf·ft", "ft-lb", "26.5", "..", "±", "+/-", "%", "min ", "max ", "1/2", "1/2-20", "M12",
    "x1.75", "−", "٣", "2026-11-25T12:00", "+01:00", "12 months", "above-run-on-from 1/3", "deg", "mm",
    "in", " by 0.5", "1e9",
)  # fmt: skip

NAME_WORDS: Final = (
    "TQ1W", "TQ1F", "TQ1P", "W-0417", "tie-bolt:", ":12", "QHR-000012", "/", ".", "_", "١", "ı", "K",
)  # fmt: skip

CARD_WORDS: Final = (
    "[card]", "[[group]]", "[[check]]", "id = ", "torque = ", "count = ", "steps = [{", "hardware = [{",
    "passes = [", '"""', "'''", "1979-05-27", "inf", "nan", "0x1f", "\\u202e", "\\U0001F600", "true",
    "[a.b.c]", "a.b = 1",
)  # fmt: skip

POINT_WORDS: Final = (
    "state,direction,indicated,reference,unit", ",repeat,uncertainty,k", "as-found", "as-left", "cw",
    "ccw", '"', ";", "'=", "%", "N·m", "NU", "F21", "\r\n", "\x00",
)  # fmt: skip
