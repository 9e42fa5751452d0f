"""A summary of an export, shown before it is written. Pure."""

from collections.abc import Mapping, Sequence

from coach.model.content import Content
from coach.model.message_format import fill
from coach.model.prescription import Prescription
from coach.model.profile import Profile
from coach.model.record import Record
from coach.reports.text.layout import paragraph


def fhir_summary(
    profile: Profile,
    prescriptions: Sequence[Prescription],
    records: Sequence[Record],
    observations: int,
    content: Content,
) -> str:
    """What a bundle with so many observations contains and omits, and every hand-written text in it."""
    messages = content.messages.therapist.export
    by_hand = [prescriptions[0].goal, *(signed.reason for one in prescriptions for signed in one.sign_offs)]
    by_hand += [activity for record in records for activity in record.activities]
    return _summary(
        (*messages.fhir_holds, messages.loinc),
        {**_placeholders(profile, records), "observations": observations},
        by_hand,
        content,
    )


def csv_summary(
    profile: Profile, prescriptions: Sequence[Prescription], records: Sequence[Record], content: Content
) -> str:
    """What the table contains and omits, and every hand-written text in it."""
    sets = sum(len(record.sets_done) for record in records)
    by_hand = [band.looks for band in profile.bands]
    by_hand += [signed.reason for one in prescriptions for signed in one.sign_offs]
    by_hand += [activity for record in records for activity in record.activities]
    messages = content.messages.therapist.export
    return _summary(messages.csv_holds, {**_placeholders(profile, records), "sets": sets}, by_hand, content)


def all_summary(holds: Sequence[str], clients: int, content: Content) -> str:
    """What an export of all clients contains and omits; `holds` is that of its form."""
    messages = content.messages.therapist.export
    lines = [*(fill(line, {"clients": clients}) for line in holds), messages.no_name, messages.by_hand_all]
    return "\n".join(part for line in lines for part in paragraph(line)) + "\n"


def _placeholders(profile: Profile, records: Sequence[Record]) -> dict[str, object]:
    first, last = (records[end].started.date().isoformat() if records else "-" for end in (0, -1))
    return {
        "profile": profile.name,
        "sessions": len({record.started for record in records}),
        "first": first,
        "last": last,
    }


def _summary(holds: Sequence[str], values: Mapping[str, object], by_hand: Sequence[str], content: Content) -> str:
    messages = content.messages.therapist.export
    quoted = "; ".join(f'"{text}"' for text in dict.fromkeys(by_hand))
    lines = [*(fill(line, values) for line in holds), messages.no_name, fill(messages.by_hand, {"by_hand": quoted})]
    return "\n".join(part for line in lines for part in paragraph(line)) + "\n"
