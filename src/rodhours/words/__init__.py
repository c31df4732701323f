"""Every sentence that a reader of answers sees, made from typed results."""
