-- The grammar and its queries in a real Neovim: colours, folds, and every query is one that Neovim can read.
local function must(condition, what)
  if not condition then
    io.stderr:write('FAILED: ' .. what .. '\n')
    vim.cmd('cquit 1')
  end
  print('ok ' .. what)
end

local function run()
  vim.cmd.edit(vim.env.PLAN)
  must(vim.bo.filetype == 'harness', 'the file is known as a harness file')
  must(vim.treesitter.highlighter.active[vim.api.nvim_get_current_buf()] ~= nil, 'its colours come from the grammar')
  for _, name in ipairs({ 'highlights', 'folds', 'indents', 'locals', 'injections' }) do
    must(vim.treesitter.query.get('harness', name) ~= nil, 'Neovim reads the query ' .. name)
  end
  vim.treesitter.get_parser(0, 'harness'):parse(true)

  -- The last capture at the first letter of `of` in the line that begins with `line`.
  local function colour(line, of)
    for row, text in ipairs(vim.api.nvim_buf_get_lines(0, 0, -1, false)) do
      if vim.startswith(text, line) then
        local column = text:find(of, 1, true) - 1
        local captures = vim.treesitter.get_captures_at_pos(0, row - 1, column)
        return captures[#captures] and captures[#captures].capture
      end
    end
  end
  for _, case in ipairs({
    { 'strip saloon-2', 'strip', 'keyword' },
    { 'strip saloon-2', 'saloon-2', 'variable' },
    { 'strip saloon-2', 'warm', 'type' },
    { 'strip saloon-2', 'from', 'keyword.modifier' },
    { 'strip saloon-2', '40 mm', 'number' },
    { 'strip saloon-2', '# chained', 'comment' },
    { 'harness', '"Skerry', 'string' },
    { '  insulation pvc', 'pvc', 'constant' },
    { 'zone saloon', 'saloon', 'module' },
  }) do
    local found = colour(case[1], case[2])
    must(found == case[3], ('`%s` in `%s …` is a %s: %s'):format(case[2], case[1], case[3], tostring(found)))
  end

  vim.wo.foldmethod, vim.wo.foldexpr = 'expr', 'v:lua.vim.treesitter.foldexpr()'
  local wire = vim.fn.search('^wire hook', 'cw')
  must(vim.wait(10000, function() return vim.fn.foldlevel(wire + 2) == 1 end, 20), 'a stanza is a fold')
  must(vim.fn.foldlevel(wire + 4) == 0, 'the blank line behind it is not')
end

local ok, why = xpcall(run, debug.traceback)
if not ok then
  io.stderr:write(tostring(why) .. '\n')
  vim.cmd('cquit 1')
end
vim.cmd('qall!')
