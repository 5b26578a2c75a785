"""Every sentence that a person reads, one module an area. A leaf: it imports nothing else of shopfloor.

Start with `message`: what a message is, how one is declared and when it becomes text. The other modules
only declare messages: `raise Conflict(wording.pieces.already_lost(recut))`.
"""
