"""The install sheet as one page for a phone: offline, steps to tick, the assembly to turn."""
