"""Everything placed on a panel: holes from the spec and from the parts that lie on it."""
