//! What is printed.
