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

-- Neovim 0.11 and later start the server by `vim.lsp.enable('glimloom')`. Before, it is started here: one for each folder of plans.
local function root(folder, markers)
  local at = folder
  while true do
    for _, marker in ipairs(markers) do
      if vim.loop.fs_stat(at .. '/' .. marker) then
        return at
      end
    end
    local above = vim.fn.fnamemodify(at, ':h')
    if above == at then
      return folder
    end
    at = above
  end
end

-- What `vim.lsp.start` does, which Neovim 0.7 lacks.
local function start(server)
  for _, client in pairs(vim.lsp.get_active_clients()) do
    if client.name == server.name and client.config.root_dir == server.root_dir then
      return vim.lsp.buf_attach_client(0, client.id)
    end
  end
  vim.lsp.buf_attach_client(0, vim.lsp.start_client(server))
end

local config = vim.api.nvim_get_runtime_file('lsp/glimloom.lua', false)[1]
local server = config and dofile(config)
if server and vim.fn.executable(server.cmd[1]) == 0 then
  -- Later versions would pass over it without a word.
  local says = '%s is not installed, or not on the PATH: there are colours, but no findings.'
  vim.notify(says:format(server.cmd[1]), vim.log.levels.WARN)
elseif server and vim.fn.has('nvim-0.11') == 0 then
  server.name = 'glimloom'
  server.root_dir = root(vim.fn.resolve(vim.fn.expand('%:p:h')), server.root_markers)
  ;(vim.lsp.start or start)(server)
end

-- Colours by the tree-sitter grammar, where it is installed (README, step 6); else by `syntax/harness.vim`.
if pcall(vim.treesitter.language.add, 'harness') and vim.treesitter.query.get('harness', 'highlights') then
  pcall(vim.treesitter.start, 0, 'harness')
end
