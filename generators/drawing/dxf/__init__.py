"""DXF files: the cutter's blank and the plotter's template."""
