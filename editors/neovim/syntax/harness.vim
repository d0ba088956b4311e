" Colours for harness files, before the server answers.
if exists('b:current_syntax')
  finish
endif

" A name may hold dashes; of the plan's words, none may be cut at one.
syntax iskeyword @,48-57,_,-,192-255
syntax case match

" The lists are written from the table of the language: GLIMLOOM_WRITE=1 cargo test words_of_the_editors
" words: stanzas
syntax keyword harnessWord contained board connector copy diode fuse harness joint lamp led link load module passage pattern rectifier regulator resistor scene stage string strip supply switch tape tried use wire zone
" words: clauses
syntax keyword harnessClause contained accept ambient and area as at because bench between bore break bright but by capacity carries colour colours contact diameter dimmed done draws dropout drops duty edition efficiency either-way finish fits flash flickers from gauge gives group groups have headroom in inside insulation lamp lamps lasts lifts limit long m material max-drop needs note of off on one only outer output over per quick rated resettable resistance resistor return runs scale sealed seals sinks slack slot slow spent survives takes to tolerance track treat turns via where windows works
" words: choices
syntax keyword harnessChoice contained abs amber bare black blue enamel error green hint infrared metal none ptfe pvc red resin silicone silver start styrene uv warm-white warning white wood yellow
" words: units
let s:units = 'Mohm|degC|degF|inch|kohm|AWG|MΩ|cm2|deg|in2|kΩ|mAh|mcd|min|mm2|ohm|Ah|Hz|cd|cm|ft|in|lm|mA|mV|mW|mm|ms|uA|Ω|A|V|W|h|m|s'
" words: end

" What stands at the margin is the word of a stanza, whatever else it means: keywords would come before a match, so all are within one.
syntax match harnessWords /\%(^\)\@<!\<\k\+/ contains=harnessClause,harnessChoice transparent
syntax match harnessStanza /^\k\+/ contains=harnessWord nextgroup=harnessDefined skipwhite
syntax match harnessDefined /\v[[:alpha:]]%(\k|\.)*/ contained
execute 'syntax match harnessNumber /\v%(<-?|\+)\d[0-9.\/:]*\s*%(' . s:units . ')>/'
syntax match harnessNumber /\v%(<-?|\+)\d[0-9.\/:]*%(\s*\%|[RkM]\d*>|>)/
syntax match harnessDate /\v<\d{4}-\d{2}-\d{2}>/
syntax region harnessText start=/"/ skip=/\\./ end=/"/ oneline
syntax match harnessComment /#.*$/ contains=@Spell

highlight default link harnessWord Statement
highlight default link harnessDefined Function
highlight default link harnessClause Identifier
highlight default link harnessChoice Constant
highlight default link harnessNumber Number
highlight default link harnessDate Number
highlight default link harnessText String
highlight default link harnessComment Comment

let b:current_syntax = 'harness'
