"""The register of what was sold: one SQLite file in the shop's folder."""
