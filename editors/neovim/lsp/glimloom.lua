-- The language server, in the form that Neovim 0.11 and later find by itself:
--   vim.lsp.enable('glimloom')
local cmd = { vim.env.GLIMLOOM or 'glimloom', 'serve' }
local ready = {}

return {
  cmd = cmd,
  filetypes = { 'harness' },
  root_markers = { '.git' },
  on_init = function(client)
    ready[client.id] = true
  end,
  -- Of a program that ends before it has said what it can, Neovim says nothing.
  on_exit = function(_, _, id)
    if not ready[id] then
      vim.schedule(function()
        vim.notify(cmd[1] .. ' is no language server, or has not come up. Try `' .. cmd[1] .. ' --version` in a shell.', vim.log.levels.WARN)
      end)
    end
  end,
}
