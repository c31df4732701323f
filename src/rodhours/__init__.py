"""rodhours: which hookbait recipe catches more fish per rod-hour, and how sure one can be."""
