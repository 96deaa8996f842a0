"""This program as a public installation would start it: another process, another environment."""

import os
import subprocess
import sys

HOST = "dive.tarrow.example"


def run(*command: str) -> subprocess.CompletedProcess[str]:
    environment = os.environ | {"OPSRISK_HOSTS": HOST}
    return subprocess.run([sys.executable, *command], env=environment, capture_output=True, text=True, check=False)
