"""Bolted joints by hand: what each bolt of a group takes, what it and the sheets bear, how a panel gives."""
