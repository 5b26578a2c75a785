"""Setting out: baselines, running dimensions from one datum, and templates at full size.

Start with `setting_out`. What each module decides:

- `setting_out`: the lines of a level, and each letter's distances from the datum
- `placement`: whether a measured letter is in its place, and which way to move it
- `full_size`: which templates and papers there are, and their revision marks
- `baselines`: what a baseline is; `find_baselines` finds them from the outlines alone

Behind `baselines`, in the order of the search:

- `baseline_contacts`: the straight edges each letter can rest on, and which letters are neighbours
- `row_search`: which letters are one row; it asks the next three in turn
- `level_rows`: rows that are level
- `angled_rows`: rows on slanting lines and circles, found by several contacts
- `round_letter_rows`: rows of letters that have no contact (O, C, S), found by their lowest points
- `baseline_fit`: the line or circle through some contacts, and the chains of letters on it
- `letter_rows`: what a row is, and how a letter is aligned to its curve
- `letter_positions`: where each letter of a row is on its baseline
"""
