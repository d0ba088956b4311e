-- What goes wrong outside of the plan, and plans that are somewhere or somewhat else. WHAT says which; each has a Neovim of its own where the
-- program is another one.
package.path = vim.env.HERE .. '/?.lua;' .. package.path
local s = require('steps')
local must, wait = s.must, s.wait

local function messages()
  return vim.fn.execute('messages')
end

local function said(words)
  wait('it is said: ' .. words, function()
    return messages():find(words, 1, true)
  end)
end

-- Colours are there whatever becomes of the server.
local function colours()
  local id = vim.fn.synID(vim.fn.search('^strip '), 1, true)
  must(vim.fn.synIDattr(id, 'name') == 'harnessWord', 'the words have their colours', vim.fn.synIDattr(id, 'name'))
end

local function edit(path)
  vim.cmd('edit ' .. vim.fn.fnameescape(vim.env.WORK .. '/' .. path))
end

local function servers()
  return vim.tbl_map(function(client)
    return client.config.root_dir or ''
  end, vim.tbl_values((vim.lsp.get_clients or vim.lsp.get_active_clients)()))
end

local function four()
  wait('four findings come', function()
    return #vim.diagnostic.get(0) == 4
  end)
end

local cases = {}

function cases.missing()
  edit('plans/mistakes.harness')
  said('glimloom is not installed')
  colours()
  s.keys('Gozone yard<Esc>')
  must(vim.api.nvim_get_current_line() == 'zone yard', 'and the text can be written')
end

-- A program that says something and ends, as one of another purpose does.
function cases.other()
  edit('plans/mistakes.harness')
  said('other is no language server')
  wait('no server is left', function()
    return #servers() == 0
  end)
  colours()
end

function cases.places()
  edit('alone/mistakes.harness')
  four()
  must(true, 'outside of any folder')

  -- Neovim keeps a server for each folder.
  edit('plans/mistakes.harness')
  four()
  edit('others/mistakes.harness')
  four()
  must(#servers() == 3, 'two folders have a server each, and what is in none has one', servers())

  -- Read only: all is there, but it is not written.
  edit('plans/sealed.harness')
  four()
  must(vim.bo.readonly, 'a file that cannot be written is known as such')
  local before = vim.fn.readfile(vim.fn.expand('%'))
  s.put_cursor('strip  baker')
  s.act('branch draper and grocer from cellar')
  local written, why = pcall(vim.cmd, 'write')
  must(not written and tostring(why):find('readonly', 1, true), 'a mend of it is not written', why)
  must(vim.deep_equal(vim.fn.readfile(vim.fn.expand('%')), before), 'the file stays as it is')
  vim.cmd('edit!')

  -- Without a file: Neovim puts findings only where there is a name.
  edit('plans/unsaved.harness')
  vim.api.nvim_buf_set_lines(0, 0, -1, false, { 'supply s twelve' })
  wait('what is wrong with a text without a file is found', function()
    return #vim.diagnostic.get(0) > 0
  end)
  vim.bo.modified = false
end

function cases.crash()
  edit('plans/mistakes.harness')
  four()
  local pid = tonumber(vim.fn.readfile(vim.env.WORK .. '/pid')[1])
  vim.loop.kill(pid, 'sigkill')
  said('quit with exit code')
  wait('the editor knows that it is gone', function()
    return #servers() == 0
  end)
  vim.cmd('edit')
  four()
  must(tonumber(vim.fn.readfile(vim.env.WORK .. '/pid')[1]) ~= pid, 'by `:edit` there is another')
end

function cases.large()
  local lines = { 'led pearl drops 3.0 V at 20 mA limit 25 mA' }
  for n = 1, 20000 do
    vim.list_extend(lines, {
      ('supply s%d 12 V 1 A'):format(n),
      ('fuse f%d 100 mA from s%d'):format(n, n),
      ('joint j%d from f%d'):format(n, n),
      ('lamp a%d of pearl resistor 560 ohm from j%d'):format(n, n),
      ('lamp b%d of pearl resistor 1 kohm from j%d'):format(n, n),
    })
  end
  vim.fn.writefile(lines, vim.env.WORK .. '/plans/large.harness')
  local client = s.open('large.harness')
  local last = vim.fn.line('$') - 1
  vim.api.nvim_win_set_cursor(0, { last, 0 })
  local function small()
    return s.finding('`a20000` runs at')
  end
  s.keys('/560<CR>cw56<Esc>')
  must(wait('what is typed at the end of 100,000 lines is found', small).lnum == last - 1, 'in its line')
  s.keys('u')
  wait('and goes', function()
    return not small()
  end)
  local id = vim.fn.synID(last, 1, true)
  must(vim.fn.synIDattr(id, 'name') == 'harnessWord', 'the words there have their colours', vim.fn.synIDattr(id, 'name'))
  vim.api.nvim_win_set_cursor(0, { last, 6 })
  must(s.ask(client, 'textDocument/hover').contents.value:find('mA', 1, true), 'hover tells figures there')
end

s.run(function()
  if vim.lsp.enable then
    vim.lsp.enable('glimloom')
  end
  cases[vim.env.WHAT]()
end)
