" Colours for harness files, before the server answers.
if exists('b:current_syntax')
  finish
endif

setlocal iskeyword+=-
syntax case match

syntax match harnessStanza /^\k\+/ contains=harnessWord
syntax keyword harnessWord contained harness use wire tape led module supply fuse switch connector joint resistor diode rectifier regulator strip lamp string board load link zone passage scene stage tried pattern copy
syntax keyword harnessClause resistor accept ambient area as at bench between bore but capacity carries colour colours contact diameter dimmed done draws dropout drops duty edition efficiency either-way finish fits flash flickers from gauge gives group have headroom in inside insulation lasts lifts limit material max-drop needs note off on only outer output over quick rated resettable resistance return runs scale sealed seals sinks slack slot slow spent survives takes tolerance track treat turns via where windows works
syntax keyword harnessGlue and because break bright by long m of one per to
syntax match harnessNumber /\v<[+-]?\d[0-9.\/:]*\s*(%(mV|V|mA|uA|A|kohm|Mohm|ohm|kΩ|MΩ|Ω|mW|W|mm2|cm2|in2|mm|cm|m|ft|inch|in|AWG|mAh|Ah|degC|degF|Hz|ms|s|min|h|lm|mcd|cd|deg)>|\%)?/
syntax match harnessNumber /\v<\d+[RkM]\d*>/
syntax match harnessDate /\v<\d{4}-\d{2}-\d{2}>/
syntax region harnessText start=/"/ skip=/\\./ end=/"/ oneline
syntax match harnessComment /#.*$/ contains=@Spell

highlight default link harnessWord Statement
highlight default link harnessClause Identifier
highlight default link harnessGlue Identifier
highlight default link harnessNumber Number
highlight default link harnessDate Number
highlight default link harnessText String
highlight default link harnessComment Comment

let b:current_syntax = 'harness'
