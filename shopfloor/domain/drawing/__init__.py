"""From drawn outlines to a proposal of signs.

Start with `stacking` (signs, levels and numbered parts); `support` finds which part lies on which, `inlays` which one is let
into which, `reading_order` the lines of letters. `preflight` checks a proposal, with `tool_access` (the cutter's reach) and
`scale` (a wrong unit). `families` and `congruent` find like outlines; `signs` checks the order; `answers` and `colours` hold
what a person decides. `drawing` is the form in which drawings travel.
"""
