"""Case -> words, numbers and annotated pictures -> DOCX."""
