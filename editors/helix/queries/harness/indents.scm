; Lines that carry a stanza on stand a little to the right of it.
(stanza) @indent
