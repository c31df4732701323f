"""Notes as text: a trip log that anyone can type on a phone, read into tables and written"""
