"""What the report says: everything that was recorded, nothing that was not."""

import re
from dataclasses import replace

import pytest

from rules import Basis, HvFlag, Risk, RuleId, SignalWord
from tests.builders import SIGNED, a_case, a_finding, a_mark, a_photo, some_tags
from tests.unit.report.cases import workshop
from tests.unit.report.material import (
    IS_HV,
    SCRAPE,
    a_rulebook,
    assessed,
    high_at_hv,
    low_without_flag,
    material,
)
from triage_app.domain.case import Case, Measures, PhotoQuality, Tags, Withdrawal
from triage_app.domain.vehicle import Answer, Incident, Vehicle
from triage_app.report import Layout, texts
from triage_app.report.build import report_from
from triage_app.report.model import (
    Box,
    Figure,
    Heading,
    ItemList,
    Paragraph,
    PhotoPicture,
    ReportModel,
    Table,
    Text,
    paragraphs_of,
    pictures_of,
)
from triage_app.services.reporting import ReportInput


def _report(given: ReportInput, layout: Layout | None = None) -> ReportModel:
    return report_from(given, a_rulebook(), layout or Layout(shop_name="Invented Body Shop"))


def _of(case: Case) -> ReportModel:
    return _report(material(case))


def _words(*blocks: object) -> str:
    """Return all words of blocks, a line per paragraph."""
    lines: list[str] = []
    for block in blocks:
        if isinstance(block, Heading):
            lines.append(block.text)
        elif isinstance(block, Figure):
            lines.append(block.caption.text)
        elif isinstance(block, Paragraph | ItemList | Table | Box):
            if isinstance(block, Table):
                lines.append(" | ".join(block.header))
            lines += [
                "".join(part.text for part in paragraph.texts if isinstance(part, Text))
                for paragraph in paragraphs_of(block)
            ]
    return "\n".join(lines)


def _page_one(report: ReportModel) -> str:
    contents = next(
        at
        for at, block in enumerate(report.blocks)
        if isinstance(block, Paragraph) and "Contents" in _words(block)
    )
    return _words(*report.blocks[:contents])


def _section(report: ReportModel, title: str) -> str:
    """Return the words from one heading to the next of the same level or above."""
    blocks = list(report.blocks)
    start = next(
        at
        for at, block in enumerate(blocks)
        if isinstance(block, Heading) and block.text.startswith(title)
    )
    level = next(block.level for block in blocks[start:] if isinstance(block, Heading))
    section = [blocks[start]]
    for block in blocks[start + 1 :]:
        if isinstance(block, Heading) and block.level <= level:
            break
        section.append(block)
    return _words(*section)


def test_page_one_says_draft_and_so_does_every_page() -> None:
    report = _report(workshop().given)

    assert "DRAFT. No senior technician has released" in _page_one(report)
    assert report.header_left.startswith("DRAFT")


def test_page_one_says_that_no_make_safe_record_is_there_and_what_that_means() -> None:
    page = _page_one(_report(workshop().given))

    assert "Make-safe record: not recorded." in page
    assert "Every high-voltage part therefore counts as energised." in page


@pytest.mark.parametrize("missing", ["prices, price range", "event log"])
def test_page_one_says_what_is_not_part_of_the_draft(missing: str) -> None:
    assert missing in _page_one(_report(workshop().given))


def test_page_one_counts_the_flagged_findings() -> None:
    page = _page_one(_report(workshop().given))

    assert "2 of 3 findings flagged for high voltage: 2 at HV, 0 within reach of HV." in page
    assert "3 findings, 1 finding withdrawn, 4 photos" in page


def test_hazard_and_repair_are_two_tables_and_never_one() -> None:
    tables = [block for block in _report(workshop().given).blocks if isinstance(block, Table)]
    hazard = next(table for table in tables if table.header[0] == "Hazard now")
    repair = next(table for table in tables if table.header[0] == "Repair needed")

    assert hazard.header[1:] == ("High", "Serious", "Medium", "Low", "Eliminated")
    assert repair.header[1:] == (
        "Replace",
        "Test first",
        "Repair",
        "Clean and protect",
        "Monitor",
    )
    assert not any({"Hazard now", "Repair needed"} <= set(table.header[:2]) for table in tables)


def test_a_case_without_findings_is_not_assessed_and_never_harmless() -> None:
    page = _page_one(_of(a_case(photos=())))

    assert texts.NOT_ASSESSED in page
    assert "WARNING" in page
    assert "not the same as no damage" in page


def test_no_flag_is_not_an_all_clear() -> None:
    case = a_case(a_finding(1))
    page = _page_one(_report(material(case, assessed(case, low_without_flag("F1")))))

    assert texts.NO_HV_FLAG in page


@pytest.mark.parametrize(
    ("word", "shown"),
    [
        (SignalWord.DANGER, "DANGER"),
        (SignalWord.WARNING, "WARNING"),
        (SignalWord.CAUTION, "WARNING"),
        (SignalWord.NOTICE, "WARNING"),
    ],
)
def test_the_notice_carries_the_signal_word_and_never_less_than_warning(
    word: SignalWord, shown: str
) -> None:
    case = a_case(a_finding(1))
    assessment = replace(assessed(case), signal_word=word)

    notice = next(
        block
        for block in _report(material(case, assessment)).blocks
        if isinstance(block, Box) and block.title == "High-voltage notice"
    )

    assert _words(notice).split()[0] == shown
    alts = [picture.alt for picture in pictures_of((notice,))]
    assert alts == [
        "Safety alert symbol: exclamation mark in a triangle.",
        "Warning sign for electricity: black lightning arrow in a yellow triangle.",
    ]


def test_signs_that_forbid_work_stand_on_page_one() -> None:
    case = a_case(a_finding(1))
    reason = replace(IS_HV, rule_id=RuleId("STP-001"), because="Smoke was seen.")

    page = _page_one(_report(material(case, assessed(case, stop_conditions=[reason]))))

    assert "Stop." in page
    assert "Smoke was seen." in page


def test_what_is_not_identified_or_not_marked_is_called_out_with_links() -> None:
    report = _report(workshop().given)
    lists = next(block for block in report.blocks if isinstance(block, ItemList))
    called_out = [item for item in lists.items if ": finding " in _words(item)]

    assert [_words(item) for item in called_out] == [
        "Part or damage not identified: finding 3. What is not identified counts as the worst.",
        "Without a mark on any photo: finding 3.",
    ]
    anchors = {part.anchor for item in called_out for part in item.texts if isinstance(part, Text)}
    assert anchors == {None, "finding_3"}


def test_findings_come_worst_first_and_at_equal_risk_those_at_hv() -> None:
    case = a_case(*(a_finding(number) for number in (1, 2, 3, 4)))
    assessment = assessed(
        case,
        low_without_flag("F1"),
        replace(high_at_hv("F2"), hv_flag=HvFlag.WITHIN_REACH),
        high_at_hv("F3"),
        replace(low_without_flag("F4"), risk=Risk.SERIOUS),
    )

    report = _report(material(case, assessment))

    headings = [b.text for b in report.blocks if isinstance(b, Heading) and b.level == 2]
    assert [text.split(".")[0] for text in headings if text.startswith("Finding")] == [
        "Finding 3",
        "Finding 2",
        "Finding 4",
        "Finding 1",
    ]


def test_the_facts_of_a_finding_say_what_was_not_measured() -> None:
    section = _section(_of(a_case(a_finding(1))), "Finding 1")

    assert "Length not measured; width not measured; depth not measured" in section
    assert "not measured; counts as near" in section
    assert "HV conductor visible: not recorded" in section


def test_a_measured_finding_says_how_it_was_measured() -> None:
    measures = Measures(length_mm=40, measured_how="steel rule")

    section = _section(_of(a_case(a_finding(1, tags=some_tags(measures=measures)))), "Finding 1")

    assert "Length 40 mm" in section
    assert "steel rule" in section


def test_reasons_name_their_rule_and_the_appendix_names_its_source_and_status() -> None:
    report = _of(a_case(a_finding(1)))
    section = _section(report, "Finding 1")

    assert "that may be live. (SEV-001)" in section
    assert "Source: NFPA 70E, table 1 (read in a copy)." in _section(report, "Rules that fired")
    assert "Not given and taken as worst: the distance to the nearest HV part." in section
    assert "Also fired: SEV-020." in section


def test_a_reason_without_a_source_says_so() -> None:
    case = a_case(a_finding(1))
    judged = replace(SCRAPE, basis=Basis.JUDGEMENT)
    assessment = replace(low_without_flag("F1"), reasons=(judged,))

    report = _report(material(case, assessed(case, assessment)))

    assert "(SEV-020, judgement)" in _section(report, "Finding 1")
    said = "Judgement of the rule book, without a published source."
    assert said in _section(report, "Rules that fired")


def test_a_reason_that_needs_another_finding_names_its_number() -> None:
    case = a_case(a_finding(1), a_finding(5))
    together = replace(IS_HV, with_findings=("F5",))
    first = replace(high_at_hv("F1"), hv_reasons=(together,))

    section = _section(_report(material(case, assessed(case, first))), "Finding 1")

    assert "Together with finding 5." in section


def test_the_repair_is_explained_by_the_rule_that_asks_for_it() -> None:
    book = a_rulebook()
    case = a_case(a_finding(1))
    rule = next(
        rule for rule in book.rules.values() if rule.then.disposition == high_at_hv("x").disposition
    )
    first = replace(
        high_at_hv("F1"),
        reasons=(rule.reason(("part: HV cable",)), IS_HV),
        repair_decided_by=(rule.id,),
    )

    section = _section(_report(material(case, assessed(case, first))), "Finding 1")

    assert f"Repair needed Replace, because:\n{rule.because}" in section


def test_steps_begin_with_safing_and_refer_to_the_list_of_all_steps() -> None:
    report = _of(a_case(a_finding(1)))

    said = _section(report, "Finding 1")
    [steps] = [line for line in said.splitlines() if line.startswith("To be done:")]
    actions = _section(report, "Required actions")

    assert steps.startswith("To be done: safing first, by the vehicle maker's procedure")
    assert "steps 1 and 2 of Required actions. 3 Replace the cable as a whole" in steps
    assert "1\nOpen the service disconnect, lock and tag it.\nSafing\nall" in actions


def test_a_withdrawn_finding_is_kept_with_reason_and_name_and_not_counted() -> None:
    gone = replace(
        a_finding(2, tags=some_tags("skid_plate", "dent")),
        withdrawn=Withdrawal(reason="Seen twice.", signed=SIGNED),
    )
    report = _of(a_case(a_finding(1), gone))

    section = _section(report, "Withdrawn findings")

    assert "Skid plate: dent" in section
    assert "Seen twice." in section
    assert "Erin Estimator" in section
    assert not any(
        isinstance(block, Heading) and block.text.startswith("Finding 2") for block in report.blocks
    )
    drawn = [
        mark.label
        for p in pictures_of(report.blocks)
        if isinstance(p, PhotoPicture)
        for mark in p.marks
    ]
    assert "2" not in drawn


def test_a_blank_finding_leaves_no_trace() -> None:
    report = _of(a_case(a_finding(1), a_finding(2, tags=Tags(), marks=())))

    assert "1 finding" in _page_one(report)
    assert "Finding 2" not in _words(*report.blocks)


def test_photos_without_a_mark_are_shown_and_every_photo_is_in_the_log() -> None:
    photos = (a_photo(1), a_photo(2), a_photo(3))
    blurred = replace(
        photos[2],
        quality=PhotoQuality(
            sharpness=1,
            mean_brightness=0.5,
            clipped_dark_frac=0,
            clipped_bright_frac=0,
            complaints=("The photo is blurred; take it again.",),
        ),
    )
    looked_at = replace(photos[1], nothing_found=SIGNED)
    case = a_case(
        a_finding(1, marks=(a_mark(photo=photos[0]),)), photos=(photos[0], looked_at, blurred)
    )
    report = _of(case)

    unmarked = _section(report, "Photos without a mark")
    assert "Photo 02, no damage seen by Erin Estimator, 4 May 2031, 12:00 UTC." in unmarked
    assert "Photo 03, without a mark." in unmarked
    assert unmarked.index(texts.NOTHING_FOUND) < unmarked.index(texts.UNMARKED_INTRO)
    log = _section(report, "Photo log")
    assert all(photo.sha256 in log for photo in photos)
    assert "The photo is blurred; take it again." in log
    assert log.count("no complaint") == 2


def test_many_photos_without_a_mark_do_not_swell_the_report() -> None:
    case = a_case(photos=tuple(a_photo(number) for number in range(1, 101)))
    report = _of(case)

    assert len([p for p in pictures_of(report.blocks) if isinstance(p, PhotoPicture)]) == 60
    assert texts.UNMARKED_MORE in _section(report, "Photos without a mark")


def test_alternative_texts_say_what_the_picture_shows() -> None:
    pictures = pictures_of(_report(workshop().given).blocks)
    alts = [picture.alt for picture in pictures if isinstance(picture, PhotoPicture)]

    assert alts[0] == (
        "Photo 01 with finding 1 marked: HV cable: severed, battery area, front, left, High risk."
    )
    assert alts[1].startswith("Close-up 1 of 2 from photo 01 with finding 1 marked:")
    assert "Whole photo 04, without a mark." in alts
    assert len({picture.name for picture in pictures if isinstance(picture, PhotoPicture)}) == len(
        alts
    )


def test_the_record_holds_what_a_later_check_needs() -> None:
    section = _section(_of(a_case(a_finding(1))), "Record")

    assert "revision 7, SHA-256 " + "ab" * 32 in section
    assert "9 entries, head hash " + "cd" * 32 in section
    assert "4 May 2031, 12:00 UTC" in section


def test_signature_lines_are_blank_and_labelled() -> None:
    section = _section(_of(a_case()), "Signatures")

    assert "Estimator\n \n \n " in section
    assert "Senior technician\n \n \n " in section


def test_long_words_on_page_one_are_cut_and_given_in_full_later() -> None:
    case = a_case(
        vehicle=Vehicle(description="W" * 3_000),
        incident=Incident(what_happened="driven over a kerb " * 100),
    )
    report = _of(case)

    assert len(_page_one(report)) < 4_500
    assert "(in full under Vehicle and incident)" in _page_one(report)
    assert "W" * 3_000 in _section(report, "Vehicle and incident")


def test_intake_values_that_nobody_gave_are_not_recorded() -> None:
    section = _section(_of(a_case(vehicle=Vehicle(), incident=Incident())), "Vehicle and incident")

    assert "voltage not recorded, counts as high" in section
    assert "smoke not known, counts as worse" in section
    assert not re.search(r"\b(None|nan|unknown)\b", section)


def test_intake_values_are_shown_with_their_units() -> None:
    case = a_case(
        vehicle=Vehicle(system_voltage_v=396.5, battery_energy_kwh=62, odometer_km=48210),
        incident=Incident(smoke=Answer.NO, water=Answer.YES),
    )

    section = _section(_of(case), "Vehicle and incident")

    assert "396.5 V DC" in section
    assert "energy 62 kWh" in section
    assert "48,210 km" in section
    assert "smoke no" in section
    assert "water yes" in section


def test_a_vin_whose_check_digit_differs_is_pointed_out() -> None:
    case = a_case(vehicle=Vehicle(vin="1M8GDM9A0KP042788"))

    assert "ninth character is not the check digit" in _page_one(_of(case))


def test_the_author_is_the_shop_or_else_whoever_issued_it() -> None:
    case = a_case()

    assert _of(case).author == "Invented Body Shop"
    assert _report(material(case), Layout()).author == "Erin Estimator"


def test_only_what_was_cited_is_a_source_and_every_source_has_its_status() -> None:
    section = _section(_of(a_case(a_finding(1))), "Sources")

    assert "NFPA 70E" in section
    assert "NTSB" not in section
    assert section.count("read in a copy") >= 3


@pytest.mark.parametrize("name", ["workshop", "nothing"])
def test_nothing_in_the_report_says_that_a_vehicle_is_safe(name: str) -> None:
    case = workshop().given if name == "workshop" else material(a_case(photos=()))
    text = _words(*_report(case).blocks).lower()

    claims = re.sub(r"make-safe|made safe", "", text)
    assert not re.search(r"\bsafe\b|\bsafely\b|\bharmless\b|\bno danger\b|all[- ]clear", claims)
    assert "a disconnected battery still holds its energy" in text
    assert "vehicle maker's procedure comes first" in text
