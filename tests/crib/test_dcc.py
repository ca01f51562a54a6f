"""Digital certificates: what is read of good ones, and that every other names its place and is not taken."""

import re
from datetime import date
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from torquelog.crib import dcc, dcc_values, dcc_xml
from torquelog.errors import TorquelogError
from torquelog.torque.units import Torque

FOLDER = Path(__file__).parent / "dcc"
ADJUSTED = (FOLDER / "adjusted.xml").read_text(encoding="utf-8")
LISTS = (FOLDER / "lists.xml").read_text(encoding="utf-8")


def raised(content: bytes | str) -> TorquelogError:
    with pytest.raises(TorquelogError) as caught:
        dcc.read(content.encode() if isinstance(content, str) else content)
    return caught.value


class TestGood:
    def test_found_and_left(self):
        """Number, laboratory, days and results in both states, the values with their zeros."""
        found = dcc.read(ADJUSTED.encode())
        assert (found.number, found.laboratory) == ("EX-DCC-2026-0452", "Example Calibration Laboratory")
        assert (found.begun, found.ended) == (date(2026, 11, 19), date(2026, 11, 20))
        assert (found.due, found.conformity) == (date(2027, 10, 31), "pass")
        assert len(found.digest) == 64
        assert dcc.unsaid(found) == ()
        points = dcc.points(found)
        assert [each.state for each in points] == ["as-found"] * 3 + ["as-left"] * 3
        assert {each.direction for each in points} == {"cw"}
        assert points[1].reference == Torque("82.70", "N·m")
        assert (points[1].uncertainty, points[1].k) == (Torque("0.41", "N·m"), "2")
        assert dcc.found_on(found, points) == date(2026, 11, 19)

    def test_other_forms(self):
        """Default namespace, powers of ten, prefixes, two units, shares, single values, days with an offset."""
        found = dcc.read(LISTS.encode())
        assert (found.number, found.laboratory) == ("LAB 17/2026", "Torque Laboratory")
        assert found.begun == found.ended == date(2026, 11, 18)
        assert (found.due, found.conformity, found.equipment) == (None, "", ("T-20", "Reference transducer"))
        first, second, third = dcc.points(found, state="unchanged")
        assert (first.indicated, first.reference) == (Torque("20", "N·m"), Torque("20.10", "N·m"))
        assert (second.indicated, second.reference) == (Torque("100.0", "N·m"), Torque("100.50", "N·m"))
        assert (first.uncertainty, second.uncertainty) == (Torque("0.1005", "N·m"), Torque("0.402", "N·m"))
        assert (second.k, third.direction, third.k) == ("2.1", "ccw", "2")
        assert first.direction == "cw"

    def test_the_state_is_told_by_somebody_where_the_file_is_silent(self):
        """Nothing says whether it was adjusted: that is left open, not guessed."""
        found = dcc.read(LISTS.encode())
        assert dcc.unsaid(found) == ("state",)
        assert dcc.found_on(found, dcc.points(found, state="unchanged")) is None

    def test_the_direction_is_told_by_somebody_where_the_file_is_silent(self):
        """A word in a name or a type tells it; without one it is open."""
        silent = dcc.read(ADJUSTED.replace(", clockwise", "").encode())
        assert dcc.unsaid(silent) == ("direction",)
        assert {each.direction for each in dcc.points(silent, direction="ccw")} == {"ccw"}
        both = dcc.read(ADJUSTED.replace(", clockwise", ", clockwise and counter-clockwise").encode())
        assert dcc.unsaid(both) == ("direction",)

    EXPANDED = re.compile(r"<si:expandedUncXMLList>.*?</si:expandedUncXMLList>", re.DOTALL)
    NEWER = "<si:measurementUncertaintyUnivariateXMLList>{}</si:measurementUncertaintyUnivariateXMLList>"

    @pytest.mark.parametrize(
        ("written", "k"),
        [
            (NEWER.format("<si:expandedMUXMLList><si:valueExpandedMUXMLList>0.5</si:valueExpandedMUXMLList>"
                          "<si:coverageFactorXMLList>2</si:coverageFactorXMLList></si:expandedMUXMLList>"), "2"),
            (NEWER.format("<si:standardMUXMLList><si:valueStandardMUXMLList>0.5</si:valueStandardMUXMLList>"
                          "</si:standardMUXMLList>"), "1"),
            ("<si:coverageIntervalXMLList><si:standardUncXMLList>0.5 0.5 0.5</si:standardUncXMLList>"
             "<si:intervalMinXMLList>1</si:intervalMinXMLList></si:coverageIntervalXMLList>", "1"),
        ],
    )  # fmt: skip
    def test_forms_of_an_uncertainty(self, written, k):
        """Expanded with a coverage factor, and standard, which is k 1; the older forms and the newer."""
        found = dcc.points(dcc.read(self.EXPANDED.sub(written, ADJUSTED).encode()))
        assert {(each.uncertainty, each.k) for each in found} == {(Torque("0.5", "N·m"), k)}

    @pytest.mark.parametrize(("unit", "value"), [(r"\percent", "0.5"), (r"\one", "0.005")])
    def test_a_relative_uncertainty(self, unit, value):
        """A share of the reference, told for the quantity: as a torque of each value."""
        told = (
            "</si:realListXMLList><dcc:relativeUncertainty><dcc:relativeUncertaintyXmlList>"
            f"<si:valueXMLList>{value}</si:valueXMLList><si:unitXMLList>{unit}</si:unitXMLList>"
            "<si:coverageFactorXMLList>2</si:coverageFactorXMLList>"
            "</dcc:relativeUncertaintyXmlList></dcc:relativeUncertainty></dcc:quantity>"
        )
        plain = self.EXPANDED.sub("", ADJUSTED)
        found = dcc.points(
            dcc.read(re.sub(r"</si:realListXMLList>\s*</dcc:quantity>", lambda _: told, plain).encode())
        )
        assert (found[1].reference, found[1].uncertainty, found[1].k) == (
            Torque("82.70", "N·m"), Torque("0.4135", "N·m"), "2",
        )  # fmt: skip

    def test_a_relative_uncertainty_is_a_share(self):
        """A torque in its place names the line."""
        told = (
            "</si:realListXMLList><dcc:relativeUncertainty><dcc:relativeUncertaintySingle><si:value>1</si:value>"
            r"<si:unit>\newton\metre</si:unit></dcc:relativeUncertaintySingle></dcc:relativeUncertainty></dcc:quantity>"
        )
        plain = self.EXPANDED.sub("", ADJUSTED)
        bad = re.sub(r"</si:realListXMLList>\s*</dcc:quantity>", lambda _: told, plain)
        assert "is no share" in raised(bad).message

    def test_a_signature_is_noticed(self):
        """It is not checked here, and whoever puts the certificate on record is told so."""
        assert not dcc.read(ADJUSTED.encode()).signed
        end = "</dcc:digitalCalibrationCertificate>"
        mark = '<ds:Signature xmlns:ds="http://www.w3.org/2000/09/xmldsig#"><ds:SignedInfo/></ds:Signature>'
        assert dcc.read(ADJUSTED.replace(end, mark + end).encode()).signed

    def test_found_alone(self):
        """A laboratory that stops before the adjustment."""
        start = ADJUSTED.index("<dcc:measurementResult>", ADJUSTED.index("</dcc:measurementResult>"))
        end = ADJUSTED.index("</dcc:measurementResults>")
        points = dcc.points(dcc.read((ADJUSTED[:start] + ADJUSTED[end:]).encode()))
        assert {each.state for each in points} == {"as-found"}

    def test_another_encoding(self):
        """UTF-16 with its mark is XML, too."""
        text = ADJUSTED.replace('encoding="UTF-8"', 'encoding="UTF-16"')
        assert dcc.read(text.encode("utf-16")).number == "EX-DCC-2026-0452"

    @pytest.mark.parametrize(
        ("text", "symbol", "power"),
        [
            (r"\newton\metre", "N·m", 0), (r"\metre\newton", "N·m", 0), (r"\newton\meter", "N·m", 0),
            (r"\newton\metre\tothe{1}", "N·m", 0), (r"\centi\newton\metre", "cN·m", 0),
            (r"\newton\centi\metre", "cN·m", 0), (r"\deca\newton\metre", "daN·m", 0),
            (r"\kilo\newton\metre", "N·m", 3), (r"\milli\newton\metre", "N·m", -3), ("lbf·ft", "lbf·ft", 0),
            ("in-lb", "lbf·in", 0), ("NU", "N·m", 0), ("M92", "lbf·ft", 0), (r"\percent", "%", 0), (r"\one", "%", 2),
        ],
    )  # fmt: skip
    def test_units(self, text, symbol, power):
        """The notation of the D-SI model with prefixes, our symbols, and Recommendation 20."""
        assert dcc_values.unit(text) == (symbol, power)

    @pytest.mark.parametrize(
        "text",
        [r"\joule", r"\newton", r"\newton\newton\metre", r"\newton\metre\tothe{2}", r"\newton\metre\second",
         r"\newton\metre\kilo", r"\kilogram\metre\tothe{2}\second\tothe{-2}", "lb", "nm", "", "\\", r"\newton/\metre"],
    )  # fmt: skip
    def test_what_is_no_torque(self, text):
        """A torque is never energy, a force or a guess."""
        with pytest.raises(TorquelogError) as caught:
            dcc_values.unit(text)
        assert caught.value.code.startswith("unit-")

    @settings(max_examples=100)
    @given(st.integers(1, 10**8), st.integers(0, 6), st.integers(-4, 4))
    def test_a_power_of_ten_moves_the_point_and_keeps_every_digit(self, digits, places, power):
        """Written with an exponent or without, it is the same number with the same digits."""
        plain = f"{digits / 10**places:.{places}f}" if digits < 10**8 else "1"
        moved = dcc_values.number(f"{plain}E{power}")
        assert float(moved) == pytest.approx(float(plain) * 10.0**power)
        kept = plain.replace(".", "").lstrip("0")
        assert moved.replace(".", "").lstrip("0").startswith(kept.rstrip("0"))
        assert dcc_values.number(plain) == plain


class TestItem:
    CERTIFICATE = dcc.read(LISTS.encode())

    @pytest.mark.parametrize(
        ("tool", "serial", "others"),
        [("W-0500", "", ()), ("W-1", "sn 4711", ()), ("W-1", "", ()), ("W-0500", "other", ("W-1",))],
    )
    def test_of_this_tool_or_of_no_known_one(self, tool, serial, others):
        """Our number or the maker's serial number is enough."""
        dcc.check_item(self.CERTIFICATE, tool, serial, others)

    @pytest.mark.parametrize(
        ("tool", "serial", "others"), [("W-1", "SN 4712", ()), ("W-1", "", ("W-0500", "W-2"))]
    )
    def test_of_another_tool(self, tool, serial, others):
        """A certificate that names another wrench of ours, or another serial number, is not taken."""
        with pytest.raises(TorquelogError) as caught:
            dcc.check_item(self.CERTIFICATE, tool, serial, others)
        assert caught.value.code == "certificate-facts"


class TestHostile:
    @pytest.mark.parametrize(
        ("name", "word"),
        [
            ("growing.xml", "document type"), ("fetching.xml", "document type"),
            ("other-namespace.xml", "https://example.org/dcc"), ("no-namespace.xml", "namespace"),
            ("unknown-encoding.xml", "encoding"),
        ],
    )  # fmt: skip
    def test_files(self, name, word):
        """Each is refused before anything of it is used."""
        error = raised((FOLDER / name).read_bytes())
        assert error.code == "dcc-form"
        assert word in error.message

    def test_a_document_type_is_refused_at_its_line(self):
        """Line and reason, and nothing below it is read."""
        error = raised((FOLDER / "growing.xml").read_bytes())
        assert error.message.startswith("Line 2 ")

    def test_too_deep(self):
        """A thousand elements in one another end at a bound, not in a stack."""
        error = raised(b"<a>" * 1000 + b"</a>" * 1000)
        assert "nested deeper" in error.message

    def test_too_many(self, monkeypatch):
        """So do millions side by side."""
        monkeypatch.setattr(dcc_xml, "MOST", 50)
        assert "more than 50 elements" in raised(b"<a>" + b"<b/>" * 60 + b"</a>").message

    def test_too_large(self):
        """More than 8 MiB is not looked at."""
        assert raised(b"<" * (dcc_xml.LARGEST + 1)).code == "file-too-large"

    @pytest.mark.parametrize(
        "content", [b"", b"   ", b"\x00\x01", b"<a>", b"<a></b>", b"no xml", b"<a>&b;</a>"]
    )
    def test_no_xml(self, content):
        """What is no XML is told with its line."""
        error = raised(content)
        assert error.code == "dcc-form"
        assert error.message.startswith("Line 1 ")

    @settings(max_examples=100, deadline=None)
    @given(st.data())
    def test_no_damage_ends_without_a_code(self, data):
        """A piece cut out or put in anywhere: it is read, or refused with a code of ours."""
        start = data.draw(st.integers(0, len(LISTS)))
        end = data.draw(st.integers(start, min(len(LISTS), start + 200)))
        put = data.draw(
            st.text(max_size=20) | st.sampled_from(["<si:real/>", "-1", "\\newton", 'refType=""', "0"])
        )
        codes = set()
        try:
            found = dcc.read((LISTS[:start] + put + LISTS[end:]).encode("utf-8", "surrogatepass"))
            dcc.points(found, state="unchanged", direction="cw")
        except TorquelogError as error:
            codes.add(error.code)
        assert codes <= {"dcc-form"}


class TestMissing:
    @pytest.mark.parametrize(
        ("part", "word"),
        [
            ("uniqueIdentifier", "uniqueIdentifier in coreData"),
            ("beginPerformanceDate", "beginPerformanceDate in coreData"),
            ("endPerformanceDate", "endPerformanceDate in coreData"),
            ("coreData", "coreData in administrativeData"),
            ("items", "items in administrativeData"),
            ("item", "0 items"),
            ("calibrationLaboratory", "calibrationLaboratory in administrativeData"),
            ("contact", "contact in calibrationLaboratory"),
            ("administrativeData", "administrativeData in digitalCalibrationCertificate"),
            ("measurementResults", "measurementResults in digitalCalibrationCertificate"),
            ("result", "no results"),
        ],
    )
    def test_parts(self, part, word):
        """A part that has to be there is named with the one that lacks it."""
        error = raised(re.sub(rf"<(/?){part}( [^>]*)?>", r"<\1other>", LISTS))
        assert (error.code, word in error.message) == ("dcc-form", True), error.message

    @pytest.mark.parametrize(
        ("before", "after", "word"),
        [
            ('refType="basic_referenceValue"', "", "lacks a reference value"),
            ('refType="basic_indicatedValue"', "", "lacks an indicated value"),
            ("basic_measurementError", "basic_indicatedValue", "two quantities that are an indicated"),
            ("<si:valueXMLList>27.2 81.4 135.5</si:valueXMLList>", "", "has no value"),
            ("27.2 81.4 135.5", "27.2 81.4", "2 indicated values and 3 reference values"),
            ("0.14 0.41 0.68", "0.14 0.41", "2 uncertainties, not 3"),
            ("27.61 82.70", "27.61 0", "value 2: A calibration result needs"),
            ("27.61 82.70", "27.61 -82.70", "value 2"),
            ("27.61 82.70", "27.61 82,70", 'value 2: "82,70"'),
            ("27.61 82.70", "27.61 NaN", "NaN"),
            ("27.61 82.70", "27.61 1E99", "1E99"),
            (r"\newton\metre", r"\joule", r"\joule"),
            (r"<si:unitXMLList>\newton\metre</si:unitXMLList>", "", "0 units, not 3"),
            ("<si:coverageFactorXMLList>2<", "<si:coverageFactorXMLList>2 2<", "2 coverage factors, not 3"),
            ("<si:coverageFactorXMLList>2</si:coverageFactorXMLList>", "", "without its coverage factor"),
            ("<si:coverageFactorXMLList>2<", "<si:coverageFactorXMLList>0.5<", "at least 1"),
            ("2026-11-19", "19.11.2026", "beginPerformanceDate"),
            ("2026-11-20", "2026-11-18", "before it began"),
            ('schemaVersion="3.2.1"', 'schemaVersion="2.4.0"', "2.4.0"),
            ("EX-DCC-2026-0452", "EX\u202e", "uniqueIdentifier"),
            ("EX-DCC-2026-0452", "", "uniqueIdentifier"),
            (
                "<dcc:status>beforeAdjustment</dcc:status>",
                "<dcc:status>beforeAdjustment</dcc:status><dcc:status>afterAdjustment</dcc:status>",
                "says both",
            ),
        ],
    )
    def test_values(self, before, after, word):
        """What cannot be read names measurement result, result, line and value, and the text that is wrong."""
        text = LISTS if before.startswith("basic_measurementError") else ADJUSTED
        assert before in text
        content = text.replace(before, after, 1).encode()
        with pytest.raises(TorquelogError) as caught:
            dcc.points(dcc.read(content), state="unchanged")
        assert (caught.value.code, word in caught.value.message) == ("dcc-form", True), caught.value.message

    def test_two_units_of_one_file(self):
        """Indicated in one unit and reference in another are no pair."""
        text = ADJUSTED.replace(r"\newton\metre", "lbf.ft", 1)
        assert "lbf·ft and N·m" in raised(text).message
