"""Commands for what is sold: kits, issues, the register."""
