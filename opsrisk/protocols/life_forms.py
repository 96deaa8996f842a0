"""What is asked at the turns of a protocol's life: to start, bring in and adopt a version."""

import re
from datetime import date, datetime, time
from zoneinfo import ZoneInfo

from django import forms

from opsrisk.protocols.models import ProtocolVersion


class Start(forms.Form):
    name = forms.CharField(label="Name of the protocol", max_length=100)
    version = forms.CharField(label="Version", max_length=40, help_text="Each version is named once, for ever.")
    title = forms.CharField(max_length=200)


class Bring(forms.Form):
    """A document from elsewhere: pasted, or a file. What was brought stays in the text, whatever is wrong with it."""

    file = forms.FileField(label="File with the document", required=False)
    document = forms.CharField(
        label="Or the document itself",
        required=False,
        strip=False,
        widget=forms.Textarea(attrs={"rows": 16, "spellcheck": "false", "class": "code"}),
    )

    def text(self) -> str:
        """The file where there is one, else the text; bytes that are no UTF-8 show as such and are refused later."""
        brought = self.files.get("file")
        if brought:
            return brought.read().decode("utf-8", "replace")
        return str(self.data.get("document", ""))


class Adopt(forms.Form):
    effective_from = forms.DateField(
        label="In force from",
        help_text="Today means from now on; a later day, from its first minute.",
        widget=forms.DateInput(attrs={"type": "date"}),
    )
    reason = forms.CharField(
        label="Why this version is adopted", max_length=2000, widget=forms.Textarea(attrs={"rows": 3})
    )
    seen = forms.CharField(widget=forms.HiddenInput, max_length=64)


def start_of(day: date, now: datetime, zone: str) -> datetime:
    """When a version adopted for `day` comes in force: now for today, else the day's first minute there."""
    if day == now.astimezone(ZoneInfo(zone)).date():
        return now
    return datetime.combine(day, time(), ZoneInfo(zone))


def next_version(of: ProtocolVersion) -> str:
    """The version after `of` by its last number: '1.0.9' to '1.0.10', '2026' to '2027'; 'spring' to 'spring 2'."""
    found = re.fullmatch(r"(.*?)(\d+)", of.version)
    return f"{found[1]}{int(found[2]) + 1}" if found else f"{of.version} 2"
