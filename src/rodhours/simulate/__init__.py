"""Invented seasons with a known truth, judged by the interval that every comparison uses."""
