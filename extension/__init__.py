"""Everything that touches the editor, a document, a page or a terminal."""

import gc

# a tool runs for a moment and then ends: what its many small values leave behind is seldom worth looking for
gc.set_threshold(100_000, 20, 20)
