"""The script that Streamlit runs, apart from the pages.

Streamlit takes a folder named ``pages`` beside its script for pages of another kind, and would
run those modules bare when the first visitor comes by a deep link.
"""
