-- How a harness file is typed: comments begin with #, a stanza is carried on by two spaces.
vim.bo.commentstring = '# %s'
vim.bo.comments = ':#'
vim.bo.expandtab = true
vim.bo.shiftwidth = 2
vim.bo.softtabstop = 2
vim.opt_local.iskeyword:append('-')
vim.opt_local.formatoptions:remove('t')
vim.opt_local.formatoptions:append('croql')
vim.b.undo_ftplugin = 'setlocal commentstring< comments< expandtab< shiftwidth< softtabstop< iskeyword< formatoptions<'

-- Neovim 0.11 and later start the server by `vim.lsp.enable('glimloom')`. Before, it is started here.
local config = vim.api.nvim_get_runtime_file('lsp/glimloom.lua', false)[1]
if vim.fn.has('nvim-0.11') == 0 and vim.fn.has('nvim-0.8') == 1 and config then
  local server = dofile(config)
  local folder = vim.fs.dirname(vim.api.nvim_buf_get_name(0))
  local marker = vim.fs.find(server.root_markers, { path = folder, upward = true })[1]
  server.name = 'glimloom'
  server.root_dir = marker and vim.fs.dirname(marker) or folder
  vim.lsp.start(server)
end
