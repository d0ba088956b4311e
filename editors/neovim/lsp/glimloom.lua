-- The language server, in the form that Neovim 0.11 and later find by itself:
--   vim.lsp.enable('glimloom')
return {
  cmd = { vim.env.GLIMLOOM or 'glimloom', 'serve' },
  filetypes = { 'harness' },
  root_markers = { '.git' },
}
