"""Exact solutions that the solvers are measured against, written from the mathematics alone.

Nothing here imports the product: an error common to both sides would go unseen.
Conventions: exp(+j omega t), peak phasors, SI, eps_c = eps_r - j sigma/(omega eps0), outgoing waves h^(2).
"""
