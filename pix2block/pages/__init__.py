"""Sheets, tables and summaries, each as text or bytes; nothing here opens a file."""
