"""The session model: catch rates with a shared level for each session and clumps in each cell.

`data` lays the stints out, `likelihood` evaluates, `fit` finds the maximum, `profile` the limits.
fish ~ Poisson(hours · exp(x'b) · exp(s z - s²/2) · f), z ~ N(0, 1) one a session,
f ~ Gamma(mean 1, variance a = t²) one a cell.
"""
