(stanza) @fold
