//! How messages write names, lists of names and scenes.

use crate::circuit::ALL_ON;
use crate::syntax::tree::Name;

/// A word that the builder wrote, or is to write, in a sentence: `` `mast` ``.
pub fn quoted(word: &str) -> String {
    format!("`{word}`")
}

/// When something is so: ``in `moored` ``, or `with everything on` in the scene that no plan writes, and in another turn
/// of it.
pub fn in_scene(scene: &Name) -> String {
    let turn = scene
        .0
        .strip_prefix(ALL_ON)
        .map(|rest| rest.strip_prefix(", "));
    match turn {
        Some(Some(turn)) => format!("with everything on ({turn})"),
        _ if &*scene.0 == ALL_ON => "with everything on".into(),
        _ => format!("in {}", quoted(&scene.0)),
    }
}

/// What a message adds to a figure that a corner alone has.
pub const AT_WORST: &str = "at the worst of the tolerances";

/// Names in a sentence: `a`, `a and b`, `a, b and c`, `a, b, c and 4 more`.
pub fn list<S: AsRef<str>>(names: &[S]) -> String {
    const SHOWN: usize = 4;
    match names {
        [] => String::new(),
        [one] => one.as_ref().into(),
        [ahead @ .., last] if names.len() <= SHOWN => {
            let ahead: Vec<&str> = ahead.iter().map(AsRef::as_ref).collect();
            format!("{} and {}", ahead.join(", "), last.as_ref())
        }
        _ => {
            let shown: Vec<&str> = names[..SHOWN - 1].iter().map(AsRef::as_ref).collect();
            format!(
                "{} and {} more",
                shown.join(", "),
                names.len() - shown.len()
            )
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_scene_that_is_always_there_is_said_in_words() {
        let said = |name: &str| in_scene(&Name(name.into()));
        assert_eq!(said("moored"), "in `moored`");
        assert_eq!(said(ALL_ON), "with everything on");
        assert_eq!(said("all-on, turn 2"), "with everything on (turn 2)");
        assert_eq!(said("all-on-deck"), "in `all-on-deck`");
    }

    #[test]
    fn long_lists_are_cut() {
        assert_eq!(list(&["a"]), "a");
        assert_eq!(list(&["a", "b", "c"]), "a, b and c");
        assert_eq!(list(&["a", "b", "c", "d"]), "a, b, c and d");
        assert_eq!(list(&["a", "b", "c", "d", "e"]), "a, b, c and 2 more");
    }
}
