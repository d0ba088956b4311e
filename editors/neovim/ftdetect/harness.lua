-- A harness file is known by its ending.
vim.filetype.add({ extension = { harness = 'harness' } })
