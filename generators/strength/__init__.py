"""Closed forms for the quick answer, and finite elements on the real solid for the real one.

``elastic``, ``recovery`` and ``worker`` need Netgen and NGSolve (the extra ``stiffness``); nothing else
here does. Everything is linear statics: small displacements, elastic metal.
"""
