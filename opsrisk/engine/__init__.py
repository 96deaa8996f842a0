"""How a protocol decides: pure Python, no Django, no clock, no input or output."""

VERSION = "1.0.0"
