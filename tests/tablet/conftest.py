"""A tablet in the hands of the supervisor, with a server whose agency has adopted the baseline."""

from tests.tablet.modules import *  # noqa: F403 - fixtures are found by name in this module
from tests.tablet.people import *  # noqa: F403 - fixtures are found by name
