"""What no file of the house says."""

import hashlib
import re

from tests.house.reading import ROOT, texts

# The tool advises; a person decides. Words that promise safety would take that decision.
PROMISES = re.compile(
    r"safe to (?:dive|enter|swim|go in)|all[ -]clear|dive is safe|risk[- ]free|100 ?% safe"
    r"|segur[oa]s? para (?:bucear|entrar|nadar|el buceo|los buzos)|puede[ns]? (?:bucear|entrar) con seguridad"
    r"|buceo (?:es |está )?segur[oa]|sin (?:ningún )?(?:riesgo|peligro)s?\b|fuera de peligro|libre de riesgos?"
    r"|todo despejado|100 ?% segur[oa]|garantiza",
    re.IGNORECASE,
)

# A folder of somebody's machine: true there and nowhere else. (Pyodide has one inside the browser.)
MACHINE = re.compile(r"""(?<![\w.}:/-])/(?:work|root|home|Users|mnt|opt)/(?!pyodide)\w+|[A-Z]:\\\\?Users""")

HOST = re.compile(r"\b(?:[a-z0-9](?:[a-z0-9-]*[a-z0-9])?\.)+[a-z]{2,}\b")
# Hosts of package registries and of the networks that mirror them, by digest: a list of names would itself name them.
REGISTRIES = {
    "a4aa2ac280bb8d1a", "c899567ee9068517", "d6d7019ca9fcbf07", "9495278a74715c7e", "0dc11026ac75c015",
    "5cd04dc6512f5c57", "3ca29e55be4befa4", "70bb4000cd2fab03", "e680c440a2e92079", "1ba4e37997a2e986",
    "a0f007d863a0ed19", "e514b0d3b0562f54", "edf7dcad352dc8cb", "e2dd3580aeebec64", "88bb79fa6efc5d55",
    "4db460c55b85212e", "789e46d79514e280", "eb7e11c7f9ecbcf4", "00a7dc5a0cc38858",
}  # fmt: skip


def named_registries(text: str) -> list[str]:
    return [host for host in set(HOST.findall(text)) if hashlib.sha256(host.encode()).hexdigest()[:16] in REGISTRIES]


def found(pattern: re.Pattern, in_texts: list[tuple[str, str]]) -> list[str]:
    return [f"{name}: {match.group()}" for name, text in in_texts for match in pattern.finditer(text)]


def test_names_no_folder_of_a_machine():
    """A path that exists on one machine only is a mistake on every other."""
    assert not found(MACHINE, texts())


def test_names_no_package_registry():
    """Where packages come from is the machine's business: whoever has a mirror changes nothing here."""
    assert not {name: hosts for name, text in texts() if (hosts := named_registries(text))}


def test_lock_files_hold_no_address():
    """The hash says which file is meant; an address would say where somebody once got it."""
    locks = [(name, text) for name, text in texts() if name.endswith((".lock", "-lock.json"))]
    assert len(locks) == 4
    assert not [name for name, text in locks if "://" in text or '"resolved"' in text]


def test_promises_no_safety():
    """No page, sheet or message says that it is safe; it says what was found and who decides."""
    for_people = [pair for folder in ("opsrisk", "templates", "fixtures") for pair in texts(under=ROOT / folder)]
    assert len(for_people) > 100
    assert not found(PROMISES, for_people)
