"""Headers of every address: what the browser may load, and what may be kept where."""

import json

import pytest
from django.core.management import call_command
from django.urls import reverse

from opsrisk import headers
from tests.house import deployed
from tests.house.test_tenant_wall import PAGES, SET_UP, ask, path_of, set_up_paths, world  # noqa: F401  (a fixture)

ELSEWHERE = ("/static/opsrisk.css", "/nothing/", "/api/v1/nothing/", "/admin/")


def faults(path, answer) -> list[str]:
    policy = dict(part.strip().partition(" ")[::2] for part in answer["Content-Security-Policy"].split(";"))
    unsafe = [word for word in ("'unsafe-inline'", "'unsafe-eval'", "*", "http:", "https:") if word in str(policy)]
    found = [f"{path}: policy has {word}" for word in unsafe]
    for directive in ("object-src", "base-uri", "frame-ancestors"):
        if policy.get(directive) != "'none'":
            found.append(f"{path}: {directive} is {policy.get(directive)}")
    if policy.get("default-src") not in {"'self'", "'none'"}:
        found.append(f"{path}: default-src is {policy.get('default-src')}")
    expected = {"X-Content-Type-Options": "nosniff", "X-Frame-Options": "DENY", "Referrer-Policy": "same-origin"}
    found += [f"{path}: {name} is {answer.get(name)}" for name, value in expected.items() if answer.get(name) != value]
    found += [f"{path}: open to every origin"] * ("Access-Control-Allow-Origin" in answer)
    return found + [f"{path}: no {name}" for name in ("Permissions-Policy", "Cache-Control") if name not in answer]


def test_every_address_carries_the_headers(world, as_person):  # noqa: F811  (the fixture again)
    """Pages, data, files, redirects and refusals alike, signed in or not."""
    cast, things = world
    paths = [(PAGES[name], path_of(name, PAGES[name], things)) for name in sorted(PAGES)]
    paths += [(PAGES["me"], path) for name in SET_UP for path in set_up_paths(name, things)]
    paths += [(PAGES["me"], path) for path in ELSEWHERE]
    wrong = []
    for browser in (as_person(cast.chief), as_person(cast.installer), as_person(None)):
        for page, path in paths:
            wrong += faults(path, ask(browser, page, path))
    assert not wrong, "\n".join(wrong)


def test_pages_have_no_inline_script_or_style(world, as_person):  # noqa: F811  (the fixture again)
    """The policy would stop them; better that there are none."""
    cast, things = world
    browser = as_person(cast.chief)
    wrong = []
    for name, page in PAGES.items():
        answer = ask(browser, page, path_of(name, page, things))
        if answer["Content-Type"].startswith("text/html"):
            text = answer.shown.decode().lower()
            wrong += [f"{name}: {word}" for word in ("<style", " style=", " onclick=", "javascript:") if word in text]
            wrong += [
                f"{name}: inline script" for part in text.split("<script")[1:] if "src=" not in part.split(">")[0]
            ]
    assert not wrong, "\n".join(wrong)


def test_nothing_of_an_agency_is_kept_in_a_cache(world, as_person):  # noqa: F811  (the fixture again)
    """Neither the browser's nor a proxy's."""
    cast, things = world
    browser = as_person(cast.chief)
    for name in ("people", "operation", "assessment", "assessment_record", "review", "api_people", "protocol_document"):
        answer = ask(browser, PAGES[name], path_of(name, PAGES[name], things))
        assert "no-store" in answer["Cache-Control"], name


def test_the_only_loosening_is_for_the_python_in_the_browser():
    """'wasm-unsafe-eval' starts WebAssembly and allows no eval of text."""
    assert "'wasm-unsafe-eval'" in headers.CONTENT_SECURITY_POLICY
    assert "'unsafe-eval'" not in headers.CONTENT_SECURITY_POLICY


def test_cookies_of_an_installation_with_https_are_bound_to_its_host(deployed_settings):
    """__Host- names, Secure, HttpOnly for the session, SameSite for both."""
    values = deployed_settings
    assert (values["SESSION_COOKIE_NAME"], values["CSRF_USE_SESSIONS"]) == ("__Host-session", True)
    assert values["SESSION_COOKIE_SECURE"] and values["SESSION_COOKIE_HTTPONLY"]
    assert values["SECURE_HSTS_SECONDS"] >= 365 * 24 * 3600
    assert values["SECURE_SSL_REDIRECT"]


@pytest.fixture
def deployed_settings():
    """The settings as an installation with a name and https would read them."""
    names = ["SESSION_COOKIE_NAME", "CSRF_USE_SESSIONS", "SESSION_COOKIE_SECURE"]
    names += ["SESSION_COOKIE_HTTPONLY", "SECURE_HSTS_SECONDS", "SECURE_SSL_REDIRECT"]
    code = f"import json; from opsrisk import settings as s; print(json.dumps({{n: getattr(s, n) for n in {names}}}))"
    return json.loads(deployed.run("-c", code).stdout)


def test_the_embedded_run_needs_no_https(settings):
    """On this machine alone cookies go over plain http."""
    assert settings.PLAIN_HTTP
    assert settings.ALLOWED_HOSTS == ["localhost", "127.0.0.1", "[::1]", "testserver"]
    assert reverse("home") == "/"
    call_command("check", verbosity=0)
