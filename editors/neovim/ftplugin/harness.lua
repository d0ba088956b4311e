-- How a harness file is typed: comments begin with #, a stanza is carried on by two spaces.
vim.bo.commentstring = '# %s'
vim.bo.comments = ':#'
vim.bo.expandtab = true
vim.bo.shiftwidth = 2
vim.bo.softtabstop = 2
vim.opt_local.iskeyword:append('-')
