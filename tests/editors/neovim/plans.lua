-- The examples in Neovim, as a builder would use it.
package.path = vim.env.HERE .. '/?.lua;' .. package.path
local s = require('steps')
local must, wait = s.must, s.wait

-- A plan with four mistakes: each at its place.
local function mistakes()
  local client = s.open('mistakes.harness')
  must(client.server_info == nil or client.server_info.name == 'glimloom', 'it is our server')
  must(client.offset_encoding == 'utf-8', 'columns are counted in bytes')
  wait('four findings come', function()
    return #vim.diagnostic.get(0) == 4
  end)
  local severity = vim.diagnostic.severity
  for _, expected in ipairs({
    { 'supply-over-budget', severity.ERROR, '0.5 A', '`adapter` would have to give 614 mA' },
    { 'feed-unfused', severity.WARN, 'from S1 over 60 mm of fine', 'No fuse between `adapter` and `gutter`' },
    { 'single-path', severity.WARN, 'baker', '`draper` and `grocer` have their power through `baker` alone' },
    { 'cut-inside-group', severity.ERROR, '17 lamps', '`baker` is cut through a group' },
  }) do
    local check, bad, words, says = unpack(expected)
    local found = must(s.finding(check), 'there is a ' .. check)
    must(found.severity == bad and s.words(found) == words and vim.startswith(found.message, says), 'at its words', found)
  end

  s.put_cursor('strip  draper', 8)
  local hover = s.ask(client, 'textDocument/hover').contents.value
  for _, words in ipairs({ 'draper', 'mA', 'adapter → S1 → cellar → baker → draper', 'If it breaks' }) do
    must(hover:find(words, 1, true), 'hover says `' .. words .. '`', hover)
  end

  vim.lsp.inlay_hint.enable(true)
  wait('volts and amps stand behind the lights', function()
    for _, hint in ipairs(vim.lsp.inlay_hint.get({ bufnr = 0 })) do
      local label = hint.inlay_hint.label
      label = type(label) == 'string' and label or label[1].value
      if label:find('V .*mA') then
        return true
      end
    end
  end)

  -- The server's colours, on top of those of the syntax file.
  s.put_cursor('strip  draper', 0)
  vim.lsp.semantic_tokens.force_refresh(0)
  local token = wait('the server colours the words', function()
    return (vim.lsp.semantic_tokens.get_at_pos() or {})[1]
  end)
  must(token.type == 'keyword', 'a word of the language as such', token)
  local names = { harnessWord = 'strip', harnessDefined = 'draper', harnessNumber = '15', harnessClause = 'from' }
  local line = vim.api.nvim_get_current_line()
  for name, word in pairs(names) do
    local id = vim.fn.synID(vim.fn.line('.'), line:find(word, 1, true), true)
    must(vim.fn.synIDattr(id, 'name') == name, '`' .. word .. '` is coloured before the server answers', vim.fn.synIDattr(id, 'name'))
  end

  -- Completion, by the keys that a user presses.
  vim.api.nvim_win_set_cursor(0, { vim.fn.line('$'), 0 })
  vim.lsp.completion.enable(true, client.id, 0)
  s.keys('olamp   porch     of la<Esc>')
  s.keys('a<C-x><C-o>')
  vim.api.nvim_win_set_cursor(0, { vim.fn.line('$'), #vim.api.nvim_get_current_line() })
  local offers = s.ask(client, 'textDocument/completion')
  local labels = vim.tbl_map(function(item)
    return item.label
  end, offers.items or offers)
  must(vim.tbl_contains(labels, 'lantern'), 'the name of the stock is offered', labels)
  vim.cmd('normal! dd')
  wait('the findings are as before', function()
    return #vim.diagnostic.get(0) == 4
  end)

  -- The branching fix, from the margin of its line.
  s.put_cursor('strip  baker')
  s.act('branch draper and grocer from cellar')
  wait('the chain is gone', function()
    return #vim.diagnostic.get(0) == 3 and not s.finding('single-path')
  end)
  must(s.text():find('strip  draper of warm 15 lamps  +from cellar'), 'draper is fed from cellar')
  must(s.text():find('one bad joint leaves the row dark', 1, true), 'the comments are kept')
  vim.cmd.write()

  -- A mend of the line of the cursor, from its margin.
  s.put_cursor('strip  baker')
  s.act('cut at 15 lamps')
  wait('the cut is put right', function()
    return #vim.diagnostic.get(0) == 2 and not s.finding('cut-inside-group')
  end)
  s.keys('u')
  wait('undone, it is wrong again', function()
    return #vim.diagnostic.get(0) == 3
  end)

  -- By typing.
  s.put_cursor('lamp   street-1')
  s.keys('/1 kohm<CR>c6l47 ohm<Esc>')
  local small = wait('a resistor that is too small is found', function()
    return s.finding('`street-1` runs at')
  end)
  must(s.words(small) == 'resistor 47 ohm 1/4 W', 'at its words', s.words(small))
  s.keys('u')
  wait('it goes when that is taken back', function()
    return #vim.diagnostic.get(0) == 3 and not s.finding('`street-1` runs at')
  end)
end

-- A stanza is carried on by the keys.
local function typing()
  vim.cmd.edit(vim.env.WORK .. '/plans/new.harness')
  s.keys('iwire hook<CR>gauge 24 AWG<CR>colours red,<CR>black<CR>have 2 m<CR><CR>zone bow<CR>inside 4 cm2<Esc>')
  must(s.text() == 'wire hook\n  gauge 24 AWG\n  colours red,\n    black\n  have 2 m\n\nzone bow\n  inside 4 cm2', 'Enter carries a stanza on', s.text())
  vim.cmd('silent normal! gcc')
  vim.cmd.normal({ 'gcc', bang = false })
  must(vim.api.nvim_get_current_line() == '  # inside 4 cm2', 'a line is made a comment', vim.api.nvim_get_current_line())
  vim.cmd('bwipeout!')
end

-- A name in two files.
local function rename()
  s.open('lock-harbour.harness')
  vim.api.nvim_win_set_cursor(0, { 1, 0 })
  s.keys('/of glow<CR>')
  s.keys('w')
  local tick = vim.b.changedtick
  vim.lsp.buf.rename('candlelight')
  wait('the name is changed', function()
    return vim.b.changedtick ~= tick
  end)
  vim.cmd('silent wall')
  for _, name in ipairs({ 'lock-harbour.harness', 'lock-stock.harness' }) do
    local text = table.concat(vim.fn.readfile(vim.env.WORK .. '/plans/' .. name), '\n')
    must(text:find(name:find('stock') and '\nled candlelight' or 'of candlelight ', 1, true) and not text:find('\nled glow'), name .. ' has the new name on the disk')
  end
end

local function layout()
  s.open('ragged.harness')
  vim.lsp.buf.format({ timeout_ms = 10000 })
  must(s.text():find('\nsupply cells 4.5 V 1 A\nfuse   F1 100 mA  ', 1, true), 'the wiring stands in columns', s.text())
  vim.cmd.write()
end

-- Letters beyond the first plane, and line ends of two letters.
local function astral()
  local client = s.open('astral.harness')
  must(vim.bo.fileformat == 'dos', 'the line ends are those of DOS')
  local found = wait('the lamp on top is found', function()
    return s.finding('`mast` runs at')
  end)
  must(s.words(found) == 'resistor 39 ohm', 'behind the letters, its words are right', s.words(found))
  s.put_cursor('from hub   over 90', 5)
  local hover = s.ask(client, 'textDocument/hover').contents.value
  must(vim.startswith(hover, '**joint hub**'), 'hover, too', hover)
  s.act('75 ohm')
  wait('nothing is left to find', function()
    return #vim.diagnostic.get(0) == 0
  end)
  must(s.text():find('"🏮🚢 on top" resistor 75 ohm', 1, true), 'the mend is at its place')
  vim.cmd.write()
end

s.run(function()
  vim.lsp.enable('glimloom')
  mistakes()
  typing()
  rename()
  layout()
  astral()
end)
