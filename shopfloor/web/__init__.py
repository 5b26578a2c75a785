"""The pages: the only Flask of the project beside app.py. One folder for each area; here what all of them use.

page             the frame of every page, and how a view reads, acts and answers: start here
errors           refusals and unexpected errors, as a page or in place
security         origins, headers, upload sizes, cookies
sign_in          signing in and out, and who is signed in (load_user)
background       long tasks in a thread, with their progress page
compression      gzip, and how long a browser keeps a static file
forms            fields of a form, from their declaration
paper_size       the paper that this tablet prints on
scanned_things   labelled things other than pieces
"""
