"""Every sentence that a reader sees, made from plain numbers; knows no frame, file or HTML."""
