"""Any spreadsheet file to rows of text, and nothing of it that could hurt."""
