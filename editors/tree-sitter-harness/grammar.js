/// <reference types="tree-sitter-cli/dsl" />
// The grammar of harness files. What stands where is told by `language.json`, which is written from the program's own vocabulary;
// this file says how such a place is read. What depends on the margin or on how a number or a name is spelt is in `src/scanner.c`.

const language = require('./language.json');

/** One thing or more, separated by commas. */
const list = (thing) => seq(thing, repeat(seq(',', thing)));

/** One of these words, as itself. */
const words = (of) => choice(...of);

/** The rules that are built from the table, by their names. */
const built = {};

/** A rule of the table that shows as `node`. Two alike are one. */
const known = {};
function shown($, name, rule, node) {
  const key = JSON.stringify([name, rule]);
  if (!known[key]) {
    let free = `_${name}`;
    for (let n = 2; built[free]; n++) free = `_${name}_${n}`;
    known[key] = free;
    built[free] = rule;
  }
  return alias($[known[key]], $[node]);
}

/** A number in the place of a figure; a unit may be glued to it. */
const figure = ($) => choice($.number, alias($._number_with_unit, $.number));

/** What stands in one place. */
function place($, slot) {
  if (slot === 'text') return $.text;
  if (slot === 'scale') return $.scale;
  if (slot === 'date') return $.date;
  if (slot === 'number') return $.number;
  const [[kind, of]] = Object.entries(slot);
  switch (kind) {
    case 'word': return of;
    case 'name': return field(of === 'defined' ? 'name' : of, $.name);
    case 'quantity': return alias($[`_${of}_quantity`], $.quantity);
    case 'count': return of.length ? shown($, `count_of_${of[0]}`, seq(figure($), words(of)), 'count') : alias($.number, $.count);
    case 'choice': return alias(words(of), $.choice);
    case 'optional': return optional(places($, of));
    case 'either': return choice(...of.map((way) => places($, way)));
    case 'list': return shown($, 'list', list(places($, of)), 'list');
  }
  throw new Error(`no such place: ${JSON.stringify(slot)}`);
}

const places = ($, slots) => slots.length === 1 ? place($, slots[0]) : seq(...slots.map((slot) => place($, slot)));

/** A clause, and the clauses that belong to it: they go to the innermost that can have them. */
function clause($, { word, slots, parts }) {
  const inside = [field('word', word)];
  if (slots.length) inside.push(places($, slots));
  if (parts.length) inside.push(repeat(choice(...parts.map((part) => clause($, part)))));
  return shown($, `${word.replace(/-/g, '_')}_clause`, prec.right(seq(...inside)), 'clause');
}

/** A stanza. */
function stanza($, { word, head, clauses }) {
  const inside = [$._margin, field('word', word), places($, head)];
  inside.push(repeat(choice(...clauses.map((one) => clause($, one)))));
  return shown($, `${word}_stanza`, seq(...inside), 'stanza');
}

/** A quantity of one dimension: a number and one of its units. */
function quantity($, dimension, units) {
  const apart = units.filter((unit) => unit !== '%').map((unit) => alias(unit, $.unit));
  if (units.includes('%')) apart.push(alias($._percent_sign, $.unit));
  if (units.includes('inch')) apart.push(alias($._glued_inch, $.unit));
  // The sign of the ohm is the same letter as the Greek one, by its Unicode decomposition.
  for (const unit of units) if (unit.includes('Ω')) apart.push(alias(unit.replace('Ω', '\u2126'), $.unit));
  const whole = seq(figure($), choice(...apart));
  return dimension === 'resistance' ? choice(whole, $.letter_code) : whole;
}

// The rules of the table refer to each other by name alone, so they can be made before the grammar is.
const names = new Proxy({}, { get: (_, name) => ({ type: 'SYMBOL', name }) });
const stanzas = language.stanzas.map((one) => stanza(names, one));
const rules = Object.fromEntries(Object.entries(built).map(([name, rule]) => [name, () => rule]));
const quantities = Object.entries(language.units).map(([dimension, units]) => [`_${dimension}_quantity`, ($) => quantity($, dimension, units)]);

module.exports = grammar({
  name: 'harness',

  word: ($) => $.name,

  externals: ($) => [
    $._margin,
    $.name,
    $.not_a_name,
    $.number,
    $._number_with_unit,
    $._percent_sign,
    $._glued_inch,
    $.letter_code,
    $.date,
    $.scale,
    // Wanted everywhere, so that the scanner is asked everywhere and no margin goes unseen.
    $.comment,
    $._lost,
    $._error_sentinel,
  ],

  extras: ($) => [/[\p{White_Space}\uFEFF]/, $.comment],

  rules: {
    file: () => repeat(choice(...stanzas)),

    ...rules,
    ...Object.fromEntries(quantities),

    text: () => /"([^"\\\r\n]|\\["\\])*"/,

    // Any word, as far as it goes. The scanner is asked first where a name is wanted: it takes those that are one, and says which
    // cannot be, but for letters beyond ASCII, of which the list is here.
    name: () => /[\p{Alphabetic}\p{XID_Start}][\p{Alphabetic}\p{XID_Continue}-]*(\.[\p{Alphabetic}\p{XID_Continue}-]+)*/,

    comment: () => /#[^\r\n]*/,
  },
});
