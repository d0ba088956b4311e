(file) @local.scope

(stanza name: (name) @local.definition)
(clause output_defined: (name) @local.definition)
(name) @local.reference
