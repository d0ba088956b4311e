(stanza) @entry.around
(clause) @parameter.around
(comment) @comment.inside
(comment)+ @comment.around
