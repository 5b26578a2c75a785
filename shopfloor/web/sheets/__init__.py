"""Pages for the router: sheets, nesting, the setup sheet, hold-down, recuts, and a sheet that is not finished.

Start with `sheets`: the list, and what a tap on a sheet does. `sheet_page` gathers what its page shows.
"""
