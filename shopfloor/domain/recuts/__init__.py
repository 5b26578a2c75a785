"""What follows a loss beyond the recut itself, which `domain/pieces.py` queues. Start with `recut_planning`.

recut_planning   recut now or wait, and from which sheet or offcut
swaps            which pieces of a family change places so that fewer signs are late
thickness        whether a sheet would visibly differ from the rest of the sign
revisions        a new drawing for a job under way
"""
