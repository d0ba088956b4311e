//! The program's reading of a text beside that of the tree-sitter grammar.

pub mod invented;

use glimloom::syntax::read_file;
use tree_sitter::{Node, Parser};
use tree_sitter_language::LanguageFn;

unsafe extern "C" {
    fn tree_sitter_harness() -> *const ();
}

/// The grammar.
pub fn language() -> tree_sitter::Language {
    // The compiled parser has this one function, of this type.
    unsafe { LanguageFn::from_raw(tree_sitter_harness) }.into()
}

/// A parser of the grammar.
pub fn parser() -> Parser {
    let mut parser = Parser::new();
    parser
        .set_language(&language())
        .expect("the version of the parser is known");
    parser
}

/// A stanza as the program reads it.
struct Read {
    /// From its word at the margin to its last word.
    words: (usize, usize),
    /// With the comments and blank lines that belong to it.
    whole: (usize, usize),
    /// What is first at fault in its form.
    fault: Option<String>,
}

fn stanzas(text: &str) -> Vec<Read> {
    let mut found = Vec::new();
    for placed in &read_file(text).stanzas {
        let (start, stanza) = (placed.start as usize, &placed.stanza);
        let core = stanza.core_span();
        if stanza
            .words(core)
            .trim_matches(['\u{feff}', ' '])
            .is_empty()
        {
            continue;
        }
        let mut faults = stanza.faults.iter().filter(|fault| fault.is_of_form);
        found.push(Read {
            words: (start + core.start as usize, start + core.end as usize),
            whole: (start, start + stanza.text.len()),
            fault: faults.next().map(|fault| fault.message.clone()),
        });
    }
    found
}

fn errors<'a>(node: Node<'a>, found: &mut Vec<Node<'a>>) {
    if node.is_error() || node.is_missing() {
        found.push(node);
    } else if node.has_error() {
        let mut cursor = node.walk();
        node.children(&mut cursor)
            .for_each(|child| errors(child, found));
    }
}

/// Whether the two readings differ in whether there is an error at all.
pub fn differs_in_error(parser: &mut Parser, text: &str) -> bool {
    let tree = parser.parse(text, None).expect("a language is set");
    tree.root_node().has_error() != stanzas(text).iter().any(|stanza| stanza.fault.is_some())
}

/// Where the two readings of a text differ, in words; `None` where they agree:
/// - a stanza whose form is without fault for the program is one `stanza` of the tree, from its first to its last byte the same, with
///   no error in it or over it;
/// - a stanza that is at fault for the program has an error of the tree between where it begins and where the next one does;
/// - a stanza of the tree begins where one of the program's does, and does not reach over its end.
pub fn difference(parser: &mut Parser, text: &str) -> Option<String> {
    let tree = parser.parse(text, None).expect("a language is set");
    let root = tree.root_node();
    let mut cursor = root.walk();
    // Where nothing at all can be read, the whole is one error.
    let children: Vec<Node> = match root.is_error() {
        true => vec![root],
        false => root
            .children(&mut cursor)
            .filter(|n| n.kind() != "comment")
            .collect(),
    };
    let mut wrong = Vec::new();
    errors(root, &mut wrong);
    let read = stanzas(text);
    for stanza in &read {
        let words = stanza.words;
        let same = |n: &&Node| n.kind() == "stanza" && (n.start_byte(), n.end_byte()) == words;
        let same = children.iter().find(same);
        let shown = text.get(words.0..words.1).unwrap_or("");
        match &stanza.fault {
            None if same.is_none() => return Some(format!("no stanza `{shown}`")),
            None if same.is_some_and(Node::has_error) => {
                return Some(format!("an error in `{shown}`"));
            }
            Some(fault) => {
                let (start, end) = stanza.whole;
                let touches =
                    |n: &&Node| n.has_error() && n.start_byte() < end && n.end_byte() > start;
                if !children.iter().any(|n| touches(&n)) {
                    return Some(format!("no error in `{shown}`: {fault}"));
                }
            }
            None => {}
        }
    }
    for node in &children {
        let (start, end) = (node.start_byte(), node.end_byte());
        let own = read
            .iter()
            .position(|s| (s.words.0..s.words.1).contains(&start));
        let next = own.and_then(|own| read.get(own + 1));
        if node.kind() == "stanza" && !read.iter().any(|s| s.words.0 == start) {
            return Some(format!("a stanza at {start} that is none"));
        }
        if node.kind() == "stanza" && next.is_some_and(|next| end > next.words.0) {
            return Some(format!("the stanza at {start} takes in the next"));
        }
    }
    for node in wrong {
        let (start, end) = (node.start_byte(), node.end_byte());
        let good = |s: &&Read| s.fault.is_none() && start < s.words.1 && end > s.words.0;
        if let Some(good) = read.iter().find(good) {
            let shown = text.get(good.words.0..good.words.1).unwrap_or("");
            return Some(format!("an error over `{shown}`"));
        }
    }
    None
}

/// A text as short as can easily be had that still differs: lines, then letters, are left out of it.
pub fn shortest(parser: &mut Parser, text: &str) -> String {
    let mut best = text.to_owned();
    for by_line in [true, false, true, false] {
        let mut at = 0;
        loop {
            let pieces: Vec<String> = match by_line {
                true => best.split_inclusive('\n').map(str::to_owned).collect(),
                false => best.chars().map(String::from).collect(),
            };
            if at >= pieces.len() {
                break;
            }
            let mut less = pieces;
            less.remove(at);
            let less = less.concat();
            match difference(parser, &less) {
                Some(_) => best = less,
                None => at += 1,
            }
        }
    }
    best
}
