"""Where holes really are: readings to positions, and whether a part goes on what was drilled."""
