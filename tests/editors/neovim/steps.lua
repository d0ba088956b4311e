-- What the tests that drive Neovim share. Each step prints `ok …`; any failure ends with a message and exit status 1.
local M = {}

local function fail(what)
  io.stderr:write('FAILED: ' .. what .. '\n')
  vim.cmd('cquit 1')
end

function M.must(condition, what, seen)
  if not condition then
    what = what .. (seen ~= nil and ': ' .. vim.inspect(seen) or '')
    fail(what)
    error(what)
  end
  io.stdout:write('ok ', what, '\n')
  return condition
end

-- Waits until `ready` gives a true value, and gives it back.
function M.wait(what, ready)
  local value
  local there = vim.wait(15000, function()
    value = ready()
    return value ~= nil and value ~= false
  end, 10)
  M.must(there, what)
  return value
end

-- Opens a plan of the work folder; the server's client is given back.
function M.open(name)
  vim.cmd('edit ' .. vim.env.WORK .. '/plans/' .. name)
  M.must(vim.bo.filetype == 'harness', name .. ' is known as a harness file')
  return M.wait('the server is attached', function()
    local client
    if vim.lsp.get_clients then
      client = vim.lsp.get_clients({ bufnr = 0, name = 'glimloom' })[1]
    else
      client = vim.tbl_values(vim.lsp.buf_get_clients(0))[1]
    end
    return client and client.initialized and client
  end)
end

function M.lines()
  return vim.api.nvim_buf_get_lines(0, 0, -1, false)
end

function M.text()
  return table.concat(M.lines(), '\n')
end

function M.finding(says)
  for _, found in ipairs(vim.diagnostic.get(0)) do
    if found.code == says or found.message:find(says, 1, true) then
      return found
    end
  end
end

-- The words that a finding stands on.
function M.words(found)
  return vim.api.nvim_buf_get_text(0, found.lnum, found.col, found.end_lnum, found.end_col, {})[1]
end

-- Puts the cursor on words that stand there once, so many bytes within.
function M.put_cursor(words, within)
  local at
  for number, line in ipairs(M.lines()) do
    local column = line:find(words, 1, true)
    if column and at then
      M.must(false, '`' .. words .. '` stands there once')
    elseif column then
      at = { number, column - 1 + (within or 0) }
    end
  end
  M.must(at, '`' .. words .. '` stands there')
  vim.api.nvim_win_set_cursor(0, at)
end

-- Asks the server about the cursor.
function M.ask(client, method, extra)
  local params = vim.lsp.util.make_position_params(0, client.offset_encoding)
  for key, value in pairs(extra or {}) do
    params[key] = value
  end
  local answers = vim.lsp.buf_request_sync(0, method, params, 10000) or {}
  return answers[client.id] and answers[client.id].result
end

-- Applies the one action whose title begins so.
function M.act(title)
  -- What a user's keys would part: it is undone by itself.
  vim.o.undolevels = vim.o.undolevels
  local tick = vim.b.changedtick
  local function is_it(action)
    return vim.startswith(action.title, title)
  end
  if vim.fn.has('nvim-0.8') == 1 then
    vim.lsp.buf.code_action({ apply = true, filter = is_it })
  else
    -- It always asks.
    vim.ui.select = function(items, _, chosen)
      for _, item in ipairs(items) do
        if is_it(item[2]) then
          return chosen(item)
        end
      end
    end
    vim.lsp.buf.code_action()
  end
  M.wait('`' .. title .. '…` is done', function()
    return vim.b.changedtick ~= tick
  end)
end

function M.keys(keys)
  vim.api.nvim_feedkeys(vim.api.nvim_replace_termcodes(keys, true, true, true), 'xt', false)
end

-- Runs a test; the server must go when the editor goes.
function M.run(test)
  local passed, message = xpcall(test, debug.traceback)
  if not passed then
    fail(tostring(message))
  end
  vim.cmd('qall!')
end

return M
