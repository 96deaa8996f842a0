"""The page is public and empty; what belongs to an agency is given to its people only."""

import json
import re

import pytest
from django.test import Client

from opsrisk.assessment.questions import SCREENS
from opsrisk.tablet.shell import PAGES, shell
from tests.house.reading import ROOT

OPEN = [
    "/tablet/",
    "/tablet/sw.js",
    "/tablet/worker.js",
    "/tablet/manifest.webmanifest",
    "/tablet/bundle.zip",
    "/tablet/bundle.json",
]


@pytest.mark.parametrize("path", OPEN)
def test_the_page_and_its_files_need_no_sign_in(cast, path):
    """A start without a network cannot follow a redirect to a sign-in form; there is nothing in them to protect."""
    response = Client().get(path)
    assert response.status_code == 200
    words = response.content.decode("latin-1")
    assert not any(person.name in words or person.email in words for person in cast.people.values())


@pytest.mark.parametrize("path", [*OPEN, "/tablet/session.json", "/tablet/kit.json"])
def test_nothing_here_takes_a_post(cast, as_person, path):
    """The tablet's addresses only answer."""
    assert as_person(cast.supervisor).post(path).status_code == 405


def test_a_stranger_is_told_so(cast):
    """Nobody is an ordinary answer to who is signed in, and gets no kit."""
    assert Client().get("/tablet/session.json").json()["person"] is None
    assert Client().get("/tablet/kit.json").status_code == 401


def test_somebody_without_an_agency_gets_no_kit(cast, as_person):
    """The installer sets up agencies and decides nothing in them."""
    assert as_person(cast.installer).get("/tablet/kit.json").status_code == 403
    assert as_person(cast.installer).get("/tablet/session.json").json()["person"] is None


def test_the_session_names_person_agency_and_time(county, as_person):
    """What a record is bound to, and a token against forged requests."""
    answer = as_person(county.supervisor).get("/tablet/session.json").json()
    assert answer["person"] == {"id": str(county.supervisor.pk), "name": "Ines Varga", "role": "supervisor"}
    assert answer["agency"]["id"] == str(county.agency.pk)
    assert len(answer["csrf"]) > 30


def test_the_kit_holds_one_agency_only(county, as_person):
    """Not a name, an id or an address of the neighbours."""
    words = as_person(county.supervisor).get("/tablet/kit.json").content.decode()
    assert "Mara Quill" in words
    for stranger in (county.neighbour_supervisor, county.neighbour_chief):
        assert stranger.name not in words
        assert str(stranger.pk) not in words
    assert county.neighbour.name not in words


def test_the_kit_makes_no_signature(county, as_person):
    """Salt, cost and public key, and no address to write to."""
    kit = as_person(county.supervisor).get("/tablet/kit.json").json()
    me = next(one for one in kit["roster"] if one["name"] == "Ines Varga")
    assert set(me) == {"id", "name", "role", "may", "qualifications", "signing"}
    assert set(me["signing"]) == {"salt", "iterations", "public_key"}
    assert me["may"] == ["decide", "second", "send_record", "sign"]


def test_the_kit_carries_the_protocol_in_force(county, as_person):
    """The whole document, so that a day without a network is decided by it."""
    protocol = as_person(county.diver).get("/tablet/kit.json").json()["protocol"]
    assert json.loads(protocol["document"])["format"]
    assert protocol["version"]


def test_the_service_worker_lists_the_whole_page(client):
    """Each file that it keeps exists, and each module of the page is among them."""
    files = shell().files
    assert set(PAGES) <= set(files)
    for file in files:
        assert client.get(file).status_code == 200, file
    text = client.get("/tablet/sw.js").content.decode()
    assert (
        json.loads(text.splitlines()[0].removeprefix("const SHELL = ").removesuffix(";"))["version"] == shell().version
    )


def test_every_import_is_kept_too():
    """A module that the page imports and the service worker does not know would be missing without a network."""
    from tests.tablet.modules import STATIC

    kept = {file.rsplit("/", 1)[-1] for file in shell().files}
    for script in (STATIC / "tablet").glob("*.js"):
        for line in script.read_text().splitlines():
            if line.startswith(("import ", "} from ")) and 'from "./' in line:
                assert line.split('from "./')[1].split('"')[0] in kept, f"{script.name}: {line}"


def test_the_manifest_makes_it_installable(client):
    """Name, icons, start and scope."""
    response = client.get("/tablet/manifest.webmanifest")
    manifest = response.json()
    assert response["Content-Type"] == "application/manifest+json"
    assert manifest["start_url"] == manifest["scope"] == "/tablet/"
    assert {"192x192", "512x512"} <= {icon["sizes"] for icon in manifest["icons"]}


def test_no_question_has_the_address_of_a_step():
    """Both stand in the same place of the address; a step of a question's name would hide it and all that follow."""
    app = (ROOT / "opsrisk/tablet/static/tablet/app.js").read_text()
    steps = re.findall(r"(\w+): show", app.partition("const STEPS = {")[2].partition("}")[0])
    steps += re.findall(r'wanted === "(\w+)"', app)
    assert {"check", "sign", "plan"} <= set(steps)
    assert not set(steps) & {screen.id for screen in SCREENS}


def test_the_whole_page_is_a_small_download(client):
    """Everything that the service worker keeps, compressed as it is sent: under 8 MB."""
    sent = {}
    for path in shell().files:
        answer = client.get(path, headers={"Accept-Encoding": "br, gzip"})
        sent[path] = len(b"".join(answer.streaming_content) if answer.streaming else answer.content)
    assert sent["/static/vendor/pyodide/pyodide.asm.wasm"] < 4_000_000, "the engine is not compressed"
    assert sum(sent.values()) < 8_000_000
    print(f"download of the tablet's page: {sum(sent.values()) / 1e6:.2f} MB in {len(sent)} files")
