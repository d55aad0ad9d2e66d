"""Solids written as STEP, STL, 3MF and GLB."""
