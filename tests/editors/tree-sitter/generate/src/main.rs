//! Makes the parser's sources from `grammar.js`: `generate GRAMMAR_FOLDER OUTPUT_FOLDER`.

use tree_sitter_generate::{OptLevel, generate_parser_in_directory};

/// What Helix 25.01 and Neovim 0.7 read, and all later ones.
const ABI: usize = 14;

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let mut arguments = std::env::args().skip(1);
    let (Some(grammar), Some(output)) = (arguments.next(), arguments.next()) else {
        return Err("usage: generate GRAMMAR_FOLDER OUTPUT_FOLDER".into());
    };
    let no_other: Option<&str> = None;
    generate_parser_in_directory(
        &grammar,
        Some(output),
        no_other,
        ABI,
        None,
        None,
        true,
        OptLevel::default(),
    )?;
    Ok(())
}
