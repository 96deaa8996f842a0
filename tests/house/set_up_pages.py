"""Addresses of the installer's pages, filled in, and what it means to be sent away from them."""

from django.urls import NoReverseMatch, reverse


def to_sign_in(answer) -> bool:
    places = ("/admin/login/", "/accounts/login/")
    return answer.status_code == 302 and (answer["Location"].startswith(places) or answer["Location"] == "/admin/")


def set_up_paths(name, things) -> list[str]:
    """An address of the set-up pages, filled in with a thing of the agency."""
    fillings = ({}, {"object_id": str(things["person"].pk)}, {"app_label": "agencies"}, {"url": "x"})
    more = ({"content_type_id": 1, "object_id": str(things["person"].pk)},)
    for kwargs in (*fillings, *more):
        try:
            return [reverse(name, kwargs=kwargs)]
        except NoReverseMatch:
            continue  # this address wants something else filled in
    return []
