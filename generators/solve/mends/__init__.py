"""Mends that are tried: proposals of the rules written into the spec, solved again and judged."""
