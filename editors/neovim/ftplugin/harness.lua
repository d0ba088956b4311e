-- How a harness file is typed: comments begin with #, a stanza is carried on by two spaces.
vim.bo.commentstring = '# %s'
vim.bo.comments = ':#'
vim.bo.expandtab = true
vim.bo.shiftwidth = 2
vim.bo.softtabstop = 2
vim.opt_local.iskeyword:append('-')

-- Colours by the tree-sitter grammar, where it is installed (README, step 3); else by `syntax/harness.vim`.
if pcall(vim.treesitter.language.add, 'harness') and vim.treesitter.query.get('harness', 'highlights') then
  pcall(vim.treesitter.start, 0, 'harness')
end
