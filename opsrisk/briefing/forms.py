"""What a person fills in on a sheet's pages."""

from django import forms

from opsrisk.agencies.models import Agency
from opsrisk.briefing.models import Sheet


class Issue(forms.Form):
    paper = forms.ChoiceField(choices=Sheet.Paper.choices, label="Paper")
    language = forms.ChoiceField(choices=Agency.Language.choices, label="Language", required=False)


class AskArchive(forms.Form):
    reason = forms.CharField(
        max_length=400,
        label="For whom and why",
        help_text="At least 15 characters; it is kept with the archive and in the log.",
    )


class Withdraw(forms.Form):
    reason = forms.CharField(
        max_length=400, label="Why it must not be used", help_text="At least 15 characters; it is kept for ever."
    )
