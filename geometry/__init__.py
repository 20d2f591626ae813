"""The quilting maths of Cornerwise: pure values in, pure values out.

Lengths are inches of quilt, y grows downwards, and a side is walked clockwise as
one looks at the quilt. Nothing here reads files, draws, prints or knows the editor.
"""
