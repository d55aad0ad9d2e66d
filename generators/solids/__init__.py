"""Plans turned into exact solids, and the solids written as STEP, STL and GLB.

Only ``build`` imports cadquery; everything else talks to its kernel (OCP) directly, because the
kernel alone loads in half the time.
"""
