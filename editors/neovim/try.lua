-- What try.sh adds to a bare Neovim: the server, hints between the words, and the whole of what is wrong below the cursor's line.
if vim.lsp.enable then
  vim.o.winborder = 'rounded'
  vim.o.linebreak = true
  vim.lsp.enable('glimloom')
  vim.diagnostic.config({
    virtual_lines = {
      current_line = true,
      -- Long messages in several lines: Neovim does not break them.
      format = function(finding)
        return ((finding.code .. ': ' .. finding.message):gsub('(' .. ('.'):rep(60) .. '%S*) ', '%1\n'))
      end,
    },
  })
end
if vim.lsp.inlay_hint then
  vim.lsp.inlay_hint.enable(true)
end
