"""One operation's archive: everything that proves later what was decided, signed and printed."""
