"""Answers to whole questions: one file an answer, which imports only what it needs."""
