//! A document: rope, line index, edits, position encodings.
