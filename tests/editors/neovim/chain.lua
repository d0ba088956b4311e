-- A chain of lights in a real Neovim: what its finding tells, the outline, all mends at once, the branching fix.
package.path = vim.env.HERE .. '/?.lua;' .. package.path
local s = require('steps')
local must, wait = s.must, s.wait

local function run()
  vim.lsp.enable('glimloom')
  s.open('chain.harness')
  local buffer = vim.api.nvim_get_current_buf()

  local function finding(check)
    for _, d in ipairs(vim.diagnostic.get(buffer)) do
      if d.code == check then
        return d
      end
    end
  end

  local chain = wait('the chain is found', function() return finding('single-path') end)
  must(chain.source == 'glimloom', 'the finding says whose it is')
  local line = vim.api.nvim_buf_get_lines(buffer, chain.lnum, chain.lnum + 1, false)[1]
  must(line:find('^strip saloon%-1 ') ~= nil, 'it stands on the first light of the chain: ' .. line)
  must(#(chain.user_data.lsp.relatedInformation or {}) == 3, 'every light behind it is named as a related place')
  must((chain.user_data.lsp.codeDescription or {}).href ~= nil, 'it leads to the page of the check')
  must(#vim.diagnostic.get(buffer) == 1, 'there is no other finding')

  -- Hover on the chained light's name.
  vim.api.nvim_win_set_cursor(0, { chain.lnum + 1, #'strip s' })
  local client = vim.lsp.get_clients({ bufnr = buffer })[1]
  must(client ~= nil and client.name == 'glimloom', 'the server is attached')
  local params = vim.lsp.util.make_position_params(0, client.offset_encoding)
  local answers = vim.lsp.buf_request_sync(buffer, 'textDocument/hover', params, 5000) or {}
  local hover = answers[client.id] and answers[client.id].result
  must(hover ~= nil and hover.contents.value:find('mA') ~= nil, 'hover shows the current')
  must(hover.contents.value:find('V') ~= nil, 'hover shows the voltage')
  must(hover.contents.value:find('If it breaks, 4 lights go dark') ~= nil, 'hover says what a break does')
  must(hover.contents.value:find('A short at its end gives') ~= nil, 'hover says what a short does')

  -- Type a mistake: a cut inside a group; it appears, and goes when it is taken back.
  local second = chain.lnum + 1
  local before = vim.api.nvim_buf_get_lines(buffer, second, second + 1, false)[1]
  local spoiled = before:gsub('6 lamps', '7 lamps')
  must(spoiled ~= before, 'the second strip has 6 lamps: ' .. before)
  vim.api.nvim_buf_set_lines(buffer, second, second + 1, false, { spoiled })
  local cut = wait('a cut inside a group is found while typing', function() return finding('cut-inside-group') end)
  must(cut.lnum == second, 'it stands on the line that was typed')
  vim.api.nvim_buf_set_lines(buffer, second, second + 1, false, { before })
  wait('it goes when the cut is put right', function() return not finding('cut-inside-group') end)

  -- The outline, and the way to a definition.
  local symbols = vim.lsp.buf_request_sync(buffer, 'textDocument/documentSymbol',
    { textDocument = vim.lsp.util.make_text_document_params() }, 5000) or {}
  must(symbols[client.id] and #symbols[client.id].result > 0, 'the outline has entries')
  local from = vim.api.nvim_buf_get_lines(buffer, chain.lnum, chain.lnum + 1, false)[1]:find('from ')
  vim.api.nvim_win_set_cursor(0, { chain.lnum + 1, from + 4 })
  params = vim.lsp.util.make_position_params(0, client.offset_encoding)
  answers = vim.lsp.buf_request_sync(buffer, 'textDocument/definition', params, 5000) or {}
  local place = answers[client.id] and answers[client.id].result
  must(place ~= nil and (place.range or place[1]) ~= nil, 'a name leads to its definition')

  -- Everything at once: two mistakes and the chain are mended by one action.
  local whole = vim.api.nvim_buf_get_lines(buffer, 0, -1, false)
  local wrong = vim.tbl_map(function(text)
    return (text:gsub('^(strip saloon%-4.*)3 lamps', '%14 lamps'):gsub('315 mA', '315'))
  end, whole)
  vim.api.nvim_buf_set_lines(buffer, 0, -1, false, wrong)
  wait('both mistakes are found', function() return finding('cut-inside-group') or finding('wrong-unit') end)
  local tick = vim.b[buffer].changedtick
  vim.lsp.buf.code_action({ context = { only = { 'source.fixAll' }, diagnostics = {} }, apply = true })
  wait('all mends are put in', function() return vim.b[buffer].changedtick ~= tick end)
  wait('nothing is left to find', function() return #vim.diagnostic.get(buffer) == 0 end)
  vim.api.nvim_buf_set_lines(buffer, 0, -1, false, whole)
  wait('the chain is back', function() return finding('single-path') end)

  -- The repair.
  vim.api.nvim_win_set_cursor(0, { chain.lnum + 1, #'strip s' })
  tick = vim.b[buffer].changedtick
  vim.lsp.buf.code_action({
    apply = true,
    filter = function(action) return action.title:match('^branch ') ~= nil and action.isPreferred end,
  })
  wait('the branching fix is applied', function() return vim.b[buffer].changedtick ~= tick end)
  wait('the chain is gone', function() return #vim.diagnostic.get(buffer) == 0 end)
  local text = table.concat(vim.api.nvim_buf_get_lines(buffer, 0, -1, false), '\n')
  must(text:find('# chained for now') ~= nil, 'the comment on the line is kept')
  vim.cmd.write()
end

s.run(run)
