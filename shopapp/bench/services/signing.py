"""Who may record what: steps that ask for a skill, a trainee's entries, and who countersigns them."""

from __future__ import annotations

from django.utils.translation import gettext as _

from shopapp.bench import lock_people
from shopapp.bench.models import Entry
from shopapp.bench.queries.skilled import asked_to_sign, may_do, skill_words, trained_words
from shopapp.bench.queries.steps import SheetStep
from shopapp.bench.services.draft import Recording
from shopapp.shop.services.acts import Refused


def refuse_unskilled(recording: Recording, step: SheetStep) -> None:
    """Refuse a step that asks for a skill to somebody who has it not, naming who has; a stop is anybody's."""
    skill = step.step.skill
    if may_do(recording.by, skill) or _stops(recording, step):
        return
    raise Refused(trained_words(step.name, skill), field="step")


def _stops(recording: Recording, step: SheetStep) -> bool:
    """Say whether the answer stops the damper: whoever sees that it does not move says so."""
    stops = [option["value"] for option in step.step.options if option.get("stops")]
    return recording.entry.kind in ("proof", "choice") and recording.entry.answer in stops


def refuse_own_check(recording: Recording, step: SheetStep) -> None:
    """Refuse the final check to who restored the settings, where the job asks for a second pair of eyes."""
    sheet = recording.sheet
    if not sheet.job.second_person or step.step.stage != lock_people.CHECKED or not step.step.required:
        return
    restored = lock_people.restorers(sheet.rules, sheet.standing.satisfied, sheet.hands)
    if recording.by.initials in restored and not _stops(recording, step):
        words = _(
            "%(name)s is for somebody who did not restore the settings (%(who)s): ask for a second pair of eyes."
        )
        raise Refused(words % {"name": step.name, "who": ", ".join(sorted(restored))}, field="step")


def mark_trainee(recording: Recording) -> None:
    """Mark a trainee's entry as to be countersigned; one out of order satisfies nothing and asks for no signature."""
    if (
        recording.by.countersign_needed
        and recording.entry.kind in lock_people.SIGNED
        and not recording.out_of_order
    ):
        recording.fields["to_countersign"] = True


def countersign(recording: Recording) -> None:
    """Countersign one entry of a trainee: by somebody else, no trainee, with the skill that its step asks for."""
    sheet, by = recording.sheet, recording.by
    old = next((row for row in sheet.entries if row.pk == recording.entry.about), None)
    if old is None or not old.to_countersign:
        raise Refused(_("There is nothing to countersign here. Load the sheet again."), field="about")
    if str(old.pk) in sheet.replaced:
        raise Refused(
            _("This entry was corrected. Load the sheet again and look at the new one."), field="about"
        )
    before = [e for e in sheet.entries if e.kind == Entry.Kind.COUNTERSIGN and e.about_id == old.pk]
    if before:
        raise Refused(_("%s countersigned this entry already.") % before[0].by.name, field="about")
    if old.by_id == by.pk:
        raise Refused(_("Nobody countersigns an entry of their own. Ask somebody else."), field="about")
    if by.countersign_needed:
        raise Refused(
            _("A trainee countersigns nothing. Ask somebody whose entries stand alone."), field="about"
        )
    step = sheet.by_key.get(f"{old.step_id}:{old.position}")
    skill = asked_to_sign(step.step) if step is not None else ""
    if skill and not may_do(by, skill):
        words = _("This is countersigned by somebody trained for %s.")
        raise Refused(f"{words % skill_words(skill)} {trained_words('', skill)}", field="about")
    recording.fields["about"] = old
