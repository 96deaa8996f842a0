"""The hands on the tablet: taps that are counted, and the way through an assessment as a supervisor goes it."""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from opsrisk.assessment.language import Language

if TYPE_CHECKING:
    from playwright.sync_api import Page

CODE = "tarrow-county-demo"
ENGINE_MS = (
    60_000  # Python starts in the browser in 2 to 3 s; on a machine that does ten other things, in ten times that
)

# Answers of an ordinary recovery: a reading is its digits, a choice its label.
RECOVERY = {
    "callout": ["Recovery"],
    "place": ["Quarry basin"],
    "submerged": "45",
    "target": ["A contact"],
    "current": "0.2",
    "visibility": "4",
    "depth": "30",
    "temperature": "52",
    "entanglement": ["Light"],
    "overhead": ["Yes, open water"],
    "pressure": ["No structure"],
    "contamination": ["Low"],
    "traffic": ["Controlled"],
    "lightning": ["No"],
    "waves": "0.5",
    "wind": "6",
    "air": "60",
    "ice": ["None"],
    "daylight": "240",
    "breathing": ["Surface supply"],
    "line": ["Tended", "Yes"],
    "ready": ["Yes", "Yes", "Yes"],
    "cold-gear": ["Yes"],
    "bottom-time": "20",
    "position-supervisor": "Ines Varga",
    "position-diver": "Mara Quill",
    "position-diver-tender": "Somebody else",
    "position-standby-diver": "Oskar Lund",
    "position-standby-tender": "Somebody else",
    "position-vehicle-pilot": "Somebody else",
    "position-tether-handler": "Somebody else",
    "position-medic": "Somebody else",
    "condition": None,
    "emergency-plan": ["Yes"],
    "care": "20",
    "chamber": "60",
    "vehicle": ["Otter"],
    "vehicle-ready": None,
}
CORE = ("current", "visibility", "depth", "temperature", "entanglement", "overhead")


@dataclass
class Hands:
    page: Page
    taps: int = 0
    at_screen: dict[str, int] = field(default_factory=dict)
    language: Language = field(default_factory=Language)  # what the tablet speaks

    def say(self, words: str) -> str:
        """English words as they stand on this tablet."""
        return self.language.say(words)

    def open(self) -> None:
        self.page.goto("/tablet/")
        self.page.get_by_role("button", name=self.say("New assessment")).wait_for()

    def tap(self, target) -> None:
        target.tap()
        self.taps += 1

    def begin(self) -> None:
        self.tap(self.page.get_by_role("button", name=self.say("New assessment")))
        self.heading("What are you called out for?")

    def heading(self, words: str) -> None:
        self.page.get_by_role("heading", level=1, name=self.say(words)).wait_for()

    @property
    def screen(self) -> str:
        return re.sub(r"^#/d/[^/]+/", "", self.page.evaluate("location.hash")).split("/")[0]

    def next(self) -> None:
        self.tap(self.page.locator("#next"))

    def tile(self, label: str, nth: int = 0):
        """The tile that says exactly this; the `nth` group's if several say it."""
        exact = self.page.locator(".label", has_text=re.compile(f"^{re.escape(self.say(label))}$"))
        return self.page.locator("main label").filter(has=exact).nth(nth)

    def keys(self, digits: str) -> None:
        for digit in self.language.number(digits):
            self.tap(self.page.locator(".keypad").get_by_role("button", name=digit, exact=True))

    def answer(self, screen: str, given) -> None:
        """Answers one screen with taps alone and goes on."""
        before = self.taps
        assert self.screen == screen
        if screen.startswith("position-"):
            self.tap(self.tile(given))
            self.tap(self.page.get_by_role("button", name=self.say("All three: yes")))
        elif screen == "condition":
            self.condition()
        elif screen == "vehicle-ready":
            self.tap(self.tile("Yes"))
            self.keys("5")
        elif isinstance(given, str):
            self.keys(given)
        else:
            self.several(given)
        self.next()
        self.at_screen[screen] = self.taps - before
        self.page.wait_for_function("screen => !location.hash.endsWith('/' + screen)", arg=screen)

    def several(self, labels: list[str]) -> None:
        """One tile in each group, in order; on the place screen the water follows from the place."""
        groups = self.page.locator("main fieldset")
        for place, label in enumerate(labels):
            self.tap(
                groups.nth(place).locator("label").filter(has=self.page.locator(f".label:text-is('{self.say(label)}')"))
            )

    def condition(self) -> None:
        self.page.locator("section.person").first.wait_for()  # `all` takes what is there now, and waits for nothing
        for person in self.page.locator("section.person").all():
            self.tap(person.get_by_role("button", name=self.say("Fit, awake up to 8 h, no dive in 24 h")))

    def all_questions(self, answers: Mapping[str, object] = RECOVERY) -> None:
        for screen, given in answers.items():
            self.answer(screen, given)
        self.heading("Check your answers")

    def fill(self, answers: Mapping[str, object], place: str = "Quarry basin") -> None:
        """Puts answers in where the questions would have, through the page's own modules, and goes to the check page."""
        self.page.evaluate(
            """async ([answers, place]) => {
              const { app } = await import("/static/tablet/context.js");
              const keeper = await import("/static/tablet/keeper.js");
              app.draft.answers = answers;
              app.draft.operation.place = place;
              app.draft.operation.site = answers.site.site;
              keeper.keep(app.draft);
              await keeper.flush();
              location.hash = `#/d/${app.draft.id}/check`;
            }""",
            [dict(answers), place],
        )
        self.heading("Check your answers")

    def judge(self, word: str = "Vehicle first") -> None:
        self.next()
        self.heading("What would you do?")
        self.tap(self.decision_tile(word))
        self.next()
        self.page.get_by_role("heading", level=1, name=self.say("The computed decision")).wait_for(timeout=ENGINE_MS)

    def decision_tile(self, word: str):
        return self.page.locator("main .decisions label").filter(
            has=self.page.locator(f".label span:text-is('{self.say(word)}')")
        )

    def past_the_plan(self) -> None:
        """From the decision over the plan to the choice."""
        self.next()
        self.heading("The plan")
        self.next()
        self.heading("What is done?")

    def choose(self, word: str) -> None:
        self.past_the_plan()
        self.tap(self.decision_tile(word))
        self.next()
        self.heading("Brief the team")
        self.gain()
        self.next()
        self.page.locator("#code-field").wait_for()

    def gain(self, words: str = "Evidence that would be lost") -> None:
        """Where people go in, what is gained by it is stated before anybody signs."""
        tile = self.page.locator("#gain label", has_text=words)
        if tile.count():
            self.tap(tile)

    def sign(self, code: str = CODE) -> None:
        self.page.locator("#code-field").fill(code)
        self.next()
        self.confirm("sign-confirm")

    def to_signing(self, given: Mapping[str, object], place: str = "Quarry basin") -> None:
        """From the start page to the signing page, with `given` as answers and a hold as judgement and choice."""
        self.begin()
        self.fill(given, place)
        self.judge("Hold")
        self.choose("Hold")

    def whole(self, given: Mapping[str, object], place: str = "Quarry basin") -> None:
        """The same, signed, finished and handed over for sending, at its sheet."""
        self.to_signing(given, place)
        self.sign()
        self.finish()

    def finish(self) -> None:
        self.page.get_by_role("heading", level=1, name=self.say("Signed"), exact=True).wait_for()
        self.next()
        self.confirm("send-confirm")
        self.heading("Briefing sheet")

    def confirm(self, name: str) -> None:
        """The second of two deliberate taps."""
        self.page.locator(f"#{name}:not([disabled])").wait_for()
        self.tap(self.page.locator(f"#{name}"))

    def saved(self) -> None:
        self.page.locator("#kept[data-state=saved]").wait_for()
