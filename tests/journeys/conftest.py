"""Journeys on the tablet use the same hands and the same people as its other tests."""

from tests.tablet.modules import *  # noqa: F403 - fixtures are found by name
from tests.tablet.people import *  # noqa: F403 - fixtures are found by name in this module
