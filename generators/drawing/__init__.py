"""Plans and layouts on paper and as DXF."""
