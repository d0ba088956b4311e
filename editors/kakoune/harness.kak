# Harness files in Kakoune, with kakoune-lsp (18 or later) as the client.

hook global BufCreate .*\.harness %{ set-option buffer filetype harness }

hook global WinSetOption filetype=harness %{
    set-option buffer comment_line '#'
    set-option buffer indentwidth 2
    add-highlighter window/harness regions
    add-highlighter window/harness/code default-region group
    add-highlighter window/harness/code/stanza regex '^[a-z][a-z-]*' 0:keyword
    add-highlighter window/harness/code/number regex '(?<![\w-])[+-]?[0-9][\w./:]*%?' 0:value
    add-highlighter window/harness/text region '"' '(?<!\\)(\\\\)*"|$' fill string
    add-highlighter window/harness/comment region '#' '$' fill comment
    hook -once -always window WinSetOption filetype=.* %{ remove-highlighter window/harness }
}

hook -group lsp-filetype-harness global BufSetOption filetype=harness %{
    set-option buffer lsp_servers %{
        [glimloom]
        root_globs = [".git"]
        command = "glimloom"
        args = ["serve"]
    }
}

hook global WinSetOption filetype=harness %{
    lsp-enable-window
    lsp-inlay-hints-enable window
}
