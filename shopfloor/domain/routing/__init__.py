"""What happens at the router: sheets, nests, cutters, feeds, cutting order, minutes, vacuum zones, the setup sheet.

Start with `sheets`, what may be done with a sheet in each state, then `nests`, where pieces lie on it.
"""
