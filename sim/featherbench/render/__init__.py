"""What a view becomes: text, a page, a notebook's element, a document, pictures. Nothing is computed here."""
