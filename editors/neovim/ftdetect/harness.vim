" A harness file is known by its ending.
autocmd BufNewFile,BufRead *.harness setfiletype harness
