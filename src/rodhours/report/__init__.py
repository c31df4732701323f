"""Results into words on a stream, pictures and one page; the only place that draws."""
