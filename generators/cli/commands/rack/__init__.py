"""Commands for the sheets on the rack."""
