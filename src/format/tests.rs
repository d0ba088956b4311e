use proptest::prelude::*;

use super::*;
use crate::syntax::tokens;
use crate::text::apply;

/// The text as it is laid out, with what holds of every layout tested.
fn laid_out(text: &str) -> String {
    let once = apply(text, &document(&read_file(text))).unwrap();
    assert_eq!(words_of(&once), words_of(text), "{text:?}");
    assert_eq!(stanzas(&once), stanzas(text), "{text:?}");
    assert_eq!(document(&read_file(&once)), [], "{text:?} became {once:?}");
    assert_eq!(text.starts_with(BOM), once.starts_with(BOM));
    once
}

/// What a layout may not change: every word, text, comment and line end, in their order.
fn words_of(text: &str) -> Vec<(TokenKind, String)> {
    let words = |token: &Token| (token.kind, text[token.span.range()].trim_end_matches(' '));
    let all = tokens(text);
    let mut all: Vec<_> = all.iter().map(words).collect();
    for (kind, words) in &mut all {
        if *kind == TokenKind::Comment {
            *words = words.trim_end();
        }
    }
    all.into_iter().map(|(k, w)| (k, w.to_owned())).collect()
}

/// How a text falls into stanzas: how many tokens each has.
fn stanzas(text: &str) -> Vec<usize> {
    let file = read_file(text);
    let counts = file.stanzas.iter().map(|p| p.stanza.tokens.len());
    counts.filter(|n| *n > 0).collect()
}

#[test]
fn the_wiring_stands_in_columns() {
    let ragged = "\
supply adapter 12 V 1 A in plinth
fuse F1 400 mA from adapter
joint keel  from F1 over 600 mm of hook in saloon
strip saloon-1 of warm 6 lamps from keel over 120 mm of fine in saloon
strip saloon-2 of warm 6 lamps from saloon-1 over 40 mm of fine in saloon # chained
lamp mast of pearl resistor 560 ohm from keel over 200 mm of fine via stair in bridge
regulator low 5 V 500 mA efficiency 88 % from keel
link ring between saloon-1 and low over 90 mm of fine
";
    let columns = "\
supply adapter 12 V 1 A                    in plinth
fuse   F1 400 mA                           from adapter
joint  keel                                from F1       over 600 mm of hook            in saloon
strip  saloon-1 of warm 6 lamps            from keel     over 120 mm of fine            in saloon
strip  saloon-2 of warm 6 lamps            from saloon-1 over 40 mm of fine             in saloon  # chained
lamp   mast     of pearl resistor 560 ohm  from keel     over 200 mm of fine via stair  in bridge
regulator low 5 V 500 mA efficiency 88 %   from keel
link   ring between saloon-1 and low       over 90 mm of fine
";
    assert_eq!(laid_out(ragged), columns);
}

#[test]
fn a_column_stays_where_most_lines_have_it() {
    let by_hand = "\
fuse   F1 400 mA           from box
switch S1                  from F1      over 90 mm of hook
joint  keel                from S1      over 50 mm of hook
";
    assert_eq!(laid_out(by_hand), by_hand);
    let added = format!("{by_hand}lamp mast of p from keel over 5 mm of hook # new\n");
    assert_eq!(
        laid_out(&added),
        format!("{by_hand}lamp   mast of p           from keel    over 5 mm of hook  # new\n")
    );
    // Where there is no room for all, right behind the longest.
    let no_room = by_hand.replace("joint  keel", "joint  a-name-with-twenty-signs");
    assert_eq!(
        laid_out(&no_room),
        "\
fuse   F1 400 mA                 from box
switch S1                        from F1 over 90 mm of hook
joint  a-name-with-twenty-signs  from S1 over 50 mm of hook
"
    );
}

#[test]
fn other_stanzas_are_alike_by_their_word() {
    assert_eq!(
        laid_out(
            "zone a\nzone wide # open\npassage p between a and wide bore 2 mm\npassage stair between wide and a slot 3 mm by 2 mm\nscene s off x, y\nscene night only x\n"
        ),
        "\
zone a
zone wide # open
passage p     between a and wide bore 2 mm
passage stair between wide and a slot 3 mm by 2 mm
scene s     off x, y
scene night only x
"
    );
    // A blank line ends a run; a comment does not.
    assert_eq!(
        laid_out("tried a 5 mA at 9 V\n# b\ntried mast 12 mA at 9 V\n\ntried c 1 mA at 9 V\n"),
        "tried a    5 mA at 9 V\n# b\ntried mast 12 mA at 9 V\n\ntried c 1 mA at 9 V\n"
    );
}

#[test]
fn clauses_are_indented() {
    assert_eq!(
        laid_out(
            "\
module m
\tworks   6 V   to 13 V
      # the two
      output left 5 V  60 mA   flash 1 Hz
      output b 40 mA
  turns left ,b   # in turn
scene s
   only one,two,
  three
"
        ),
        "\
module m
  works 6 V to 13 V
  # the two
  output left 5 V 60 mA  flash 1 Hz
  output b    40 mA
  turns left, b   # in turn
scene s
  only one, two,
    three
"
    );
}

#[test]
fn comments_and_blank_lines_stay() {
    let text = "# the file\n\n\n\n# of a\nwire a # copper\n  gauge 32 AWG    # thin\n  carries 1 A     # for a while\n# at the margin\n  # inside\n\n  have 5 m\n  # behind\n# of b\nzone b#glued\n";
    assert_eq!(laid_out(text), text.replace("b#glued", "b  #glued"));
    // Comments side by side come into one column.
    assert_eq!(
        laid_out("zone a # one\nzone bridge  # two\nzone c\n"),
        "zone a       # one\nzone bridge  # two\nzone c\n"
    );
}

#[test]
fn blanks_at_the_end_go_and_line_ends_stay() {
    assert_eq!(
        laid_out("zone a \t\r\n  sealed  \n\t\r\n# c  \r  "),
        "zone a\r\n  sealed\n\r\n# c\r"
    );
    assert_eq!(
        laid_out("\u{feff}zone    a # c \t"),
        "\u{feff}zone a    # c"
    );
    assert_eq!(laid_out("\u{feff}  \n \n"), "\u{feff}\n\n");
    assert_eq!(laid_out("   "), "");
    assert_eq!(laid_out(""), "");
}

#[test]
fn what_cannot_be_read_is_left_as_it_is() {
    let text = "lamp   a of of p  \n   from  x\nlamp b  of p from k\nlmap  c of  p\nlamp long-name of p from k\n";
    assert_eq!(
        laid_out(text),
        "lamp   a of of p  \n   from  x\nlamp b         of p  from k\nlmap  c of  p\nlamp long-name of p  from k\n"
    );
    // What can be read but is wrong or not complete is laid out.
    assert_eq!(
        laid_out("wire  a gauge  3,2 mm\n"),
        "wire  a gauge 3,2 mm\n"
    );
    let bom = "zone   a\n\u{feff}zone    b\n  \u{feff} \n";
    assert_eq!(laid_out(bom), bom);
}

#[test]
fn a_text_keeps_its_blanks() {
    assert_eq!(
        laid_out("zone a    note   \"two  blanks\tand a tab, # \"   sealed\n"),
        "zone a  note \"two  blanks\tand a tab, # \" sealed\n"
    );
}

/// Widths by Unicode Standard Annex 11: an ideograph takes two columns, a combining mark none.
#[test]
fn columns_count_what_a_terminal_shows() {
    assert_eq!(
        laid_out("lamp 月 of p from k\nlamp e\u{301}t of p from k\nlamp abc of p from k\n"),
        "lamp 月  of p  from k\nlamp e\u{301}t  of p  from k\nlamp abc of p  from k\n"
    );
}

#[test]
fn a_range_is_laid_out_by_whole_lines() {
    let text = "zone a lifts  off \r\nzone b lifts  off \nzone c lifts  off ";
    let at = |from: usize, to: usize| {
        let done = apply(text, &lines(text, Span::between(from, to))).unwrap();
        let untouched = |line: &str| line.contains("  off ");
        done.lines().map(untouched).collect::<Vec<_>>()
    };
    assert_eq!(at(3, 4), [false, true, true]);
    // Up to the start of the next line, and not into it.
    assert_eq!(at(0, 20), [false, true, true]);
    assert_eq!(at(20, 20), [true, false, true]);
    assert_eq!(at(22, 45), [true, false, false]);
    assert_eq!(at(99, 200), [true, true, false]);
    assert_eq!(at(0, text.len()), [false, false, false]);
}

/// Texts of words of the language and what people put between them.
fn texts() -> impl Strategy<Value = String> {
    let words = "\u{feff} lamp lamp supply fuse regulator link copy module scene zone harness resistor output but a b.c saloon-1 of \
                 from over via return to in off only where gauge note accept dimmed 12 5 V mA,mm , , # #c \"t\" \" 6 lamps 1:50 月 { 3,5";
    let words: Vec<&str> = words.split(' ').collect();
    let between = vec![
        " ", " ", "  ", "", "\t", "\n", "\n", "\n  ", "\r\n\t", "\r", "\u{a0}", "\n\n",
    ];
    let pair = (prop::sample::select(words), prop::sample::select(between));
    prop::collection::vec(pair, 0..60)
        .prop_map(|pairs| pairs.into_iter().map(|(a, b)| [a, b].concat()).collect())
}

proptest! {
    #[test]
    fn any_words_are_laid_out_without_loss(text in texts()) {
        laid_out(&text);
    }

    #[test]
    fn any_text_is_laid_out_without_loss(text in any::<String>(), from in 0u32..99, to in 0u32..99) {
        laid_out(&text);
        let edits = lines(&text, Span::new(from, to));
        prop_assert!(apply(&text, &edits).is_ok());
    }
}
