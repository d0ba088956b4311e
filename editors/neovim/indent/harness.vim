" Indentation that carries a stanza on: a new line behind an indented one, behind a comma, or behind the head of what is usually
" written in several lines. Press Enter twice, and the cursor is back at the margin.
if exists('b:did_indent')
  finish
endif
let b:did_indent = 1

setlocal indentexpr=HarnessIndent() indentkeys=o,O nosmartindent
let b:undo_indent = 'setlocal indentexpr< indentkeys< smartindent<'

if exists('*HarnessIndent')
  finish
endif

let s:listed = '^[^#]*,\s*\%(#.*\)\?$'

" The column of the clauses of the stanza that a line is in.
function s:Clauses(line)
  let head = a:line
  while head > 1 && getline(head) =~# '^\%(\s\|#\|$\)'
    let head -= 1
  endwhile
  return getline(head + 1) =~# '^\s\+[^# \t]' ? indent(head + 1) : 2
endfunction

function HarnessIndent()
  let above = v:lnum - 1
  let blank = getline(v:lnum) =~# '^\s*$'
  if above < 1 || !blank && indent(v:lnum) == 0
    return 0
  endif
  let heads = '^\%(harness\|wire\|tape\|led\|module\|zone\)\>'
  if blank && getline(above) !~# '^\s\+\S' && getline(above) !~# heads && getline(above) !~# s:listed
    return 0
  endif
  let last = prevnonblank(above)
  let listed = getline(last) =~# s:listed
  if indent(last) == 0
    return 2
  endif
  return listed ? max([4, indent(last)]) : s:Clauses(last)
endfunction
