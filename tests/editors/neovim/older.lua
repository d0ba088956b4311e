-- A Neovim without `vim.lsp.enable`: the server starts with the file; findings, the branching fix.
package.path = vim.env.HERE .. '/?.lua;' .. package.path
local s = require('steps')

s.run(function()
  s.must(vim.fn.has('nvim-0.11') == 0, 'this is an older Neovim')
  local client = s.open('mistakes.harness')
  s.must(client.config.root_dir == vim.fn.resolve(vim.env.WORK .. '/plans'), 'the folder is that of the repository', client.config.root_dir)
  s.wait('four findings come', function()
    return #vim.diagnostic.get(0) == 4
  end)
  s.put_cursor('strip  draper', 8)
  local hover = s.ask(client, 'textDocument/hover').contents.value
  s.must(hover:find('adapter → S1 → cellar → baker → draper', 1, true), 'hover says the way of the power', hover)
  s.put_cursor('strip  baker')
  s.act('branch draper and grocer from cellar')
  s.wait('the chain is gone', function()
    return not s.finding('single-path')
  end)
end)
