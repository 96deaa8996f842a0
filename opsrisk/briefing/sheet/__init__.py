"""The sheet of one signed record: what stands on it and in which order. No framework, no files, no clock."""
