-- The scenario that is the same for every editor: see ../scenario.py.
package.path = vim.env.HERE .. '/?.lua;' .. package.path
local s = require('steps')
local must, wait = s.must, s.wait

local SEVERITY = { error = vim.diagnostic.severity.ERROR, warning = vim.diagnostic.severity.WARN, hint = vim.diagnostic.severity.HINT }

local function play(one)
  local client = s.open(one.plan)
  local buffer = vim.api.nvim_get_current_buf()
  wait('as many findings come as the program tells: ' .. #one.findings, function()
    return #vim.diagnostic.get(0) == #one.findings
  end)
  for _, expected in ipairs(one.findings) do
    local found = vim.tbl_filter(function(found)
      return found.code == expected.check and found.lnum + 1 == expected.line and found.message == expected.message
    end, vim.diagnostic.get(0))
    must(#found == 1, expected.check .. ' is found in line ' .. expected.line, found)
    must(s.words(found[1]) == expected.words, 'at its words: ' .. expected.words, s.words(found[1]))
    must(found[1].severity == SEVERITY[expected.severity], 'as bad as it is')
  end

  local chain = s.finding('single-path')
  vim.api.nvim_win_set_cursor(0, { chain.lnum + 1, chain.col })
  local hover = s.ask(client, 'textDocument/hover').contents.value
  must(hover:find(one.item, 1, true) and hover:find('mA', 1, true) and hover:find('If it breaks', 1, true), 'hover tells what it is about', hover)

  -- By the keys that a user presses.
  vim.lsp.completion.enable(true, client.id, 0)
  s.keys('Go' .. one.half .. '<Esc>')
  vim.api.nvim_win_set_cursor(0, { vim.fn.line('$'), #vim.api.nvim_get_current_line() })
  local offers = s.ask(client, 'textDocument/completion')
  local labels = vim.tbl_map(function(offer)
    return offer.label
  end, offers.items or offers)
  must(vim.tbl_contains(labels, one.stock), 'completion offers ' .. one.stock, labels)
  s.keys('S' .. one.wrong .. '<Esc>')
  local late = wait('what is typed wrong is found', function()
    return s.finding('nobody')
  end)
  must(late.lnum + 1 == vim.fn.line('$'), 'in its line')
  s.keys('Gdd')
  wait('and goes', function()
    return not s.finding('nobody') and #vim.diagnostic.get(0) == #one.findings
  end)

  vim.api.nvim_win_set_cursor(0, { chain.lnum + 1, chain.col })
  s.act(one.fix)
  wait('the chain is gone', function()
    return not s.finding('single-path')
  end)
  vim.cmd('silent write')

  vim.api.nvim_win_set_cursor(0, { chain.lnum + 1, chain.col })
  local tick = vim.b.changedtick
  vim.lsp.buf.rename(one.new)
  wait('the name is changed', function()
    return vim.b.changedtick ~= tick
  end)
  vim.api.nvim_set_current_buf(buffer)
  vim.lsp.buf.format({ timeout_ms = 10000 })
  vim.cmd('silent wall')
end

s.run(function()
  vim.lsp.enable('glimloom')
  local file = table.concat(vim.fn.readfile(vim.env.WORK .. '/plans/scenario.json'), '\n')
  for _, one in ipairs(vim.json.decode(file)) do
    play(one)
  end
end)
