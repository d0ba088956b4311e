//! How a drawing looks: one table of what has which colour by day and by night. It is written as plain rules, not as custom
//! properties, since programs other than browsers (which turn drawings into pictures, or print them) do not know those.

use super::Theme;
use super::picture::Style;

/// What the rules stand below, so that a drawing can stand in a page beside others.
pub const SCOPE: &str = "glimloom-drawing";

/// So many grounds of zones look different.
pub const GROUNDS: usize = 6;

/// What has a colour: the selector, the property, the colour by day, the colour by night.
const COLOURS: &[(&str, &str, &str, &str)] = &[
    (".paper", "fill", "#ffffff", "#15171c"),
    ("text", "fill", "#16181d", "#eceef2"),
    (".soft", "fill", "#4a505a", "#b9bfca"),
    (".symbol", "fill", "#ffffff", "#15171c"),
    (".symbol", "stroke", "#16181d", "#eceef2"),
    (".unlit", "fill", "#c3c8d1", "#4a515d"),
    (".lit", "stroke", "#16181d", "#eceef2"),
    (".full", "fill", "#16181d", "#eceef2"),
    (".cover", "fill", "#ffffff", "#15171c"),
    (".edge", "stroke", "#6b7280", "#8b93a1"),
    (".plus", "stroke", "#16181d", "#eceef2"),
    (".minus", "stroke", "#a4acb9", "#6b7482"),
    (".rule", "stroke", "#c4c9d2", "#424a57"),
    (".tag", "fill", "#f1f2f5", "#23272f"),
    (".tag", "stroke", "#6b7280", "#8b93a1"),
    (".g0", "fill", "#eaf2fb", "#1b2735"),
    (".g1", "fill", "#f9f0df", "#31291a"),
    (".g2", "fill", "#e8f4e9", "#1b2c20"),
    (".g3", "fill", "#f5eaf6", "#2e2032"),
    (".g4", "fill", "#e4f3f3", "#182d2f"),
    (".g5", "fill", "#f8e9e7", "#33211f"),
    (".error", "fill", "#c81e1e", "#f26d6d"),
    (".warning", "fill", "#b45309", "#f0a53c"),
    (".hint", "fill", "#1d5fbf", "#7ab0f5"),
    (".on", "stroke", "#ffffff", "#15171c"),
];

/// Rules that are the same by day and by night.
fn common() -> String {
    let mut rules = format!(
        ".{SCOPE} text{{font-family:sans-serif}}\
         .{SCOPE} .symbol{{stroke-width:1.4;stroke-linejoin:round}}\
         .{SCOPE} .lit{{stroke-width:1.4;stroke-linejoin:round}}\
         .{SCOPE} .stroke{{fill:none}}\
         .{SCOPE} .line{{fill:none;stroke-linejoin:miter}}\
         .{SCOPE} .on{{fill:none;stroke-width:1.8;stroke-linecap:round}}\
         .{SCOPE} .tag{{stroke-width:1}}\
         .{SCOPE} .rule{{stroke-width:1}}\
         .{SCOPE} a{{cursor:pointer;text-decoration:none}}\
         .{SCOPE} a:hover text,.{SCOPE} a:target text,.{SCOPE} a.here text{{text-decoration:underline}}"
    );
    for (style, word) in Style::ALL {
        let weight = if style.is_bold() { "bold" } else { "normal" };
        rules += &format!(
            ".{SCOPE} .{word}{{font-size:{}px;font-weight:{weight}}}",
            style.size()
        );
    }
    rules
}

fn colours(scope: &str, is_dark: bool) -> String {
    let rules = COLOURS.iter().map(|(what, property, light, dark)| {
        let colour = if is_dark { dark } else { light };
        format!("{scope} {what}{{{property}:{colour}}}")
    });
    rules.collect()
}

/// The rules of a drawing. Where no theme is asked for it follows the reader's; who shows it may set the class of its root to
/// `light` or `dark`.
pub fn rules(theme: Option<Theme>) -> String {
    let own = format!(".{SCOPE}");
    let both = match theme {
        Some(theme) => colours(&own, theme == Theme::Dark),
        None => [
            colours(&own, false),
            // Paper is light whatever the screen is.
            "@media screen and (prefers-color-scheme:dark){".to_owned(),
            colours(&format!("{own}:not(.light)"), true),
            "}".to_owned(),
            colours(&format!("{own}.dark"), true),
        ]
        .concat(),
    };
    common() + &both
}
