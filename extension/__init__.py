"""Everything that touches the editor, a document, a page or a terminal."""
