"""Who may do what: one table. Whose things they may do it to is settled by `for_person`, never here."""

import logging

from django.core.exceptions import PermissionDenied

from opsrisk.agencies.models import Person

log = logging.getLogger("opsrisk.refused")

SUPERVISOR, MEMBER, CHIEF, SAFETY = (role.value for role in Person.Role)
EVERYBODY = frozenset({SUPERVISOR, MEMBER, CHIEF, SAFETY})
INSTALLER = "installer"  # a superuser, or the command line: sets up agencies, decides nothing in them

MAY: dict[str, frozenset[str]] = {
    "read": EVERYBODY,  # operations, assessments, sheets, people, kit, sites, the protocol in force
    "sign": EVERYBODY,  # keep a signing code of one's own
    "send_record": frozenset({SUPERVISOR, CHIEF}),
    "keep_log": EVERYBODY,  # readings, recalls and that they were heard: whoever holds a tablet at the water
    "send_photo": EVERYBODY,
    "read_originals": frozenset({CHIEF, SAFETY}),  # photos with all that the camera wrote into them, place included
    "decide": frozenset({SUPERVISOR, CHIEF}),  # whose signature makes an assessment
    "second": frozenset({SUPERVISOR, CHIEF, SAFETY}),  # agree, by name, to less caution
    "close_operation": frozenset({SUPERVISOR, CHIEF}),
    "debrief": frozenset({SUPERVISOR, CHIEF, SAFETY}),
    "keep_dives": frozenset({SUPERVISOR, CHIEF, SAFETY}),
    "read_dives": frozenset({CHIEF, SAFETY}),  # the dives of others across operations; one's own everybody sees
    "keep_training": frozenset({SUPERVISOR, CHIEF, SAFETY}),
    "void_record": frozenset({SUPERVISOR, CHIEF, SAFETY}),  # more caution, never less: whoever saw the fault
    "issue_sheet": frozenset({SUPERVISOR, CHIEF, SAFETY}),
    "enrol": frozenset({CHIEF, INSTALLER}),  # and end sessions, change roles, retire
    "set_second_factor": frozenset({CHIEF}),  # while founding an agency, whoever installs says so first
    "set_language": frozenset({CHIEF}),  # and the decimal sign
    "qualify": frozenset({CHIEF, SAFETY, INSTALLER}),
    "purge": frozenset({CHIEF, SAFETY}),  # one asks, another agrees
    "set_retention": frozenset({CHIEF}),
    "read_medical": frozenset({SUPERVISOR, CHIEF, SAFETY}),  # the two dates of others; one's own everybody sees
    "note_medical": frozenset({CHIEF, SAFETY}),
    "edit_kit": frozenset({SUPERVISOR, CHIEF, SAFETY, INSTALLER}),
    "edit_sites": frozenset({SUPERVISOR, CHIEF, SAFETY, INSTALLER}),
    "draft_protocol": frozenset({CHIEF, SAFETY, INSTALLER}),
    "adopt_protocol": frozenset({CHIEF, SAFETY}),
    "review": frozenset({CHIEF, SAFETY}),
    "import_operations": frozenset({CHIEF, SAFETY}),  # from before this program: without assessment and score
    # The installer's command line: who owns the machine has the rows and files anyway, but not without an entry.
    "export_operation": frozenset({CHIEF, SAFETY, INSTALLER}),
    "read_ledger": frozenset({CHIEF, SAFETY}),
    "found_agency": frozenset({INSTALLER}),
}


class NotAllowed(PermissionDenied):
    """Signed in, but this is not theirs to do."""


def role_of(person: Person | None) -> str:
    """`None` stands for the command line, whose user owns the whole installation."""
    if person is None or (person.is_superuser and person.agency_id is None):
        return INSTALLER
    return person.role


def may(person: Person | None, action: str) -> bool:
    return role_of(person) in MAY[action] and (person is None or person.is_active)


def require(person: Person | None, action: str) -> None:
    """Raises NotAllowed, and logs the attempt."""
    if not may(person, action):
        log.warning("refused %s to %s (%s)", action, person.pk if person else "command line", role_of(person))
        raise NotAllowed(f"{action}: given {role_of(person)}, accepted {', '.join(sorted(MAY[action]))}")


def of(person: Person) -> frozenset[str]:
    """Everything that this person may do, for templates."""
    return frozenset(action for action in MAY if may(person, action))
