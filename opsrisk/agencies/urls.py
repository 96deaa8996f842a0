from allauth.account import views as account
from django.urls import include, path, re_path

from opsrisk.agencies import paper_views, session_views, views

# allauth's own list also offers signing up and changing the address one signs in with; an agency does both.
sign_in = [
    path("login/", account.login, name="account_login"),
    path("logout/", account.logout, name="account_logout"),
    path("inactive/", account.account_inactive, name="account_inactive"),
    path("signup/", account.signup, name="account_signup"),  # answers that nobody signs up here
    path("reauthenticate/", account.reauthenticate, name="account_reauthenticate"),
    path("password/set/", account.password_set, name="account_set_password"),
    path("password/change/", account.password_change, name="account_change_password"),
    path("password/reset/", account.password_reset, name="account_reset_password"),
    path("password/reset/done/", account.password_reset_done, name="account_reset_password_done"),
    path(
        "password/reset/key/done/",
        account.password_reset_from_key_done,
        name="account_reset_password_from_key_done",
    ),
    re_path(
        r"^password/reset/key/(?P<uidb36>[0-9A-Za-z]+)-(?P<key>.+)/$",
        account.password_reset_from_key,
        name="account_reset_password_from_key",
    ),
    path("2fa/recovery-codes/", session_views.recovery_codes, name="mfa_view_recovery_codes"),
    path(
        "2fa/recovery-codes/download/",
        session_views.recovery_codes,
        {"as_file": True},
        name="mfa_download_recovery_codes",
    ),
    path("2fa/", include("allauth.mfa.urls")),
]

urlpatterns = [
    path("", views.home, name="home"),
    path("accounts/", include(sign_in)),
    path("people/", views.people, name="people"),
    path("people/enrol/", views.enrol, name="enrol"),
    path("people/<uuid:pk>/", views.person, name="person"),
    path("people/<uuid:pk>/qualify/", views.qualify, name="qualify"),
    path("people/<uuid:pk>/medical/", paper_views.medical, name="medical"),
    path("people/expiring/", paper_views.expiring, name="expiring"),
    path("people/<uuid:pk>/role/", views.change_role, name="change_role"),
    path("people/<uuid:pk>/retire/", views.retire, name="retire"),
    path("people/<uuid:pk>/end-sessions/", session_views.end_sessions, name="end_sessions"),
    path("people/second-factor/", session_views.second_factor, name="second_factor"),
    path("language/", views.language, name="language"),
    path("kit/", views.kit, name="kit"),
    path("kit/add/", views.vehicle, name="add_vehicle"),
    path("kit/<uuid:pk>/", views.vehicle, name="vehicle"),
    path("kit/<uuid:pk>/retire/", views.retire_vehicle, name="retire_vehicle"),
    path("sites/", views.sites, name="sites"),
    path("sites/add/", views.site, name="add_site"),
    path("sites/<uuid:pk>/", views.site, name="site"),
    path("sites/<uuid:pk>/retire/", views.retire_site, name="retire_site"),
    path("sites/stations/", views.nearby, name="nearby_stations"),
    path("me/", views.me, name="me"),
    path("me/signing-code/", views.signing_code, name="signing_code"),
    path("me/sessions/<int:pk>/end/", session_views.end_own_session, name="end_own_session"),
    path("me/tokens/make/", views.make_token, name="make_token"),
    path("me/tokens/<uuid:pk>/revoke/", views.revoke_token, name="revoke_token"),
]
