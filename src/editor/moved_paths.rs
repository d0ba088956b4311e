//! The paths of `use` stanzas when files move: what a file has to write so that each leads where it led before. Places
//! are absolute paths with `/` between their parts.

use super::used_paths::used_paths;
use crate::text::Span;

/// The edits of a file that stands at `from` and will stand at `to`; `moved` says where another one will stand, if that
/// is not where it does. A path that still leads there is left as it is written.
pub fn moved_paths(
    text: &str,
    from: &str,
    to: &str,
    moved: &dyn Fn(&str) -> Option<String>,
) -> Vec<(Span, String)> {
    let (Some(before), Some(after)) = (folder(from), folder(to)) else {
        return Vec::new();
    };
    let paths = used_paths(text).into_iter();
    let edits = paths.filter_map(|used| {
        let place = led_to(before, &used.path)?;
        let target = moved(&place).unwrap_or_else(|| place.clone());
        if led_to(after, &used.path).as_ref() == Some(&target) {
            return None;
        }
        let path = match before == after && folder(&place) == folder(&target) {
            true => with_name(&used.path, name(&target)),
            false => between(after, &target, used.path.starts_with("./"))?,
        };
        Some((used.span, quoted(&path)))
    });
    edits.collect()
}

/// The folder of a place.
pub(super) fn folder(place: &str) -> Option<&str> {
    place.rsplit_once('/').map(|(folder, _)| folder)
}

fn name(place: &str) -> &str {
    place.rsplit('/').next().unwrap_or(place)
}

/// Where a path leads to from a folder; `None` for one that is absolute or leads out of everything.
pub(super) fn led_to(folder: &str, path: &str) -> Option<String> {
    let is_border = |c: char| c == '/' || (cfg!(windows) && c == '\\');
    if path.starts_with(is_border) || (cfg!(windows) && path.contains(':')) {
        return None;
    }
    let mut place: Vec<&str> = folder.split('/').collect();
    for part in path.split(is_border) {
        match part {
            "" | "." => {}
            // What stands ahead of the first `/` is no folder.
            ".." if place.len() > 1 => _ = place.pop(),
            ".." => return None,
            part => place.push(part),
        }
    }
    Some(place.join("/"))
}

/// A path with another last part.
fn with_name(path: &str, name: &str) -> String {
    match path.rsplit_once('/') {
        Some((ahead, _)) => format!("{ahead}/{name}"),
        None => name.to_owned(),
    }
}

/// The shortest path from a folder to a place; `None` where there is none.
fn between(folder: &str, place: &str, dotted: bool) -> Option<String> {
    let (from, to): (Vec<&str>, Vec<&str>) =
        (folder.split('/').collect(), place.split('/').collect());
    let common = from.iter().zip(&to).take_while(|(a, b)| a == b).count();
    if common == 0 {
        return None;
    }
    let up = from.len() - common;
    let parts = std::iter::repeat_n("..", up).chain(to.get(common..)?.iter().copied());
    let path = parts.collect::<Vec<_>>().join("/");
    Some(if dotted && up == 0 {
        format!("./{path}")
    } else {
        path
    })
}

/// As a text of the language.
fn quoted(path: &str) -> String {
    format!("\"{}\"", path.replace('\\', "\\\\").replace('"', "\\\""))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    /// `/from > /to` of each file or folder that moves.
    fn moves(list: &'static [(&'static str, &'static str)]) -> impl Fn(&str) -> Option<String> {
        move |place| {
            list.iter().find_map(|(from, to)| {
                let rest = place.strip_prefix(from)?;
                (rest.is_empty() || rest.starts_with('/')).then(|| format!("{to}{rest}"))
            })
        }
    }

    /// The file after `list` moved.
    fn after(text: &str, at: &str, list: &'static [(&'static str, &'static str)]) -> String {
        let moved = moves(list);
        let to = moved(at).unwrap_or_else(|| at.to_owned());
        let mut text = text.to_owned();
        for (span, new) in moved_paths(&text.clone(), at, &to, &moved)
            .into_iter()
            .rev()
        {
            text.replace_range(span.range(), &new);
        }
        text
    }

    #[test]
    fn a_used_file_gets_another_name() {
        let list = &[("/m/stock/led.harness", "/m/stock/leds.harness")];
        for (written, new) in [
            ("use \"stock/led.harness\"", "use \"stock/leds.harness\""),
            (
                "use \"./stock/led.harness\"  # ours",
                "use \"./stock/leds.harness\"  # ours",
            ),
            (
                "use \"stock/../stock/led.harness\"",
                "use \"stock/../stock/leds.harness\"",
            ),
            ("use \"stock/tape.harness\"", "use \"stock/tape.harness\""),
            ("use \"led.harness\"", "use \"led.harness\""),
            (
                "zone led # stock/led.harness",
                "zone led # stock/led.harness",
            ),
        ] {
            assert_eq!(after(written, "/m/ferry.harness", list), new);
        }
        assert_eq!(
            after("use \"led.harness\"", "/m/stock/all.harness", list),
            "use \"leds.harness\""
        );
        assert_eq!(
            after("use \"../stock/led.harness\"", "/m/hull/a.harness", list),
            "use \"../stock/leds.harness\""
        );
    }

    #[test]
    fn a_used_file_gets_another_place() {
        let list = &[("/m/led.harness", "/m/stock/led.harness")];
        assert_eq!(
            after("use \"led.harness\"", "/m/ferry.harness", list),
            "use \"stock/led.harness\""
        );
        assert_eq!(
            after("use \"./led.harness\"", "/m/ferry.harness", list),
            "use \"./stock/led.harness\""
        );
        assert_eq!(
            after("use \"../led.harness\"", "/m/hull/a.harness", list),
            "use \"../stock/led.harness\""
        );
        assert_eq!(
            after("use \"../led.harness\"", "/m/stock/all.harness", list),
            "use \"led.harness\""
        );
    }

    #[test]
    fn the_file_itself_moves() {
        let list = &[("/m/ferry.harness", "/m/hull/ferry.harness")];
        let text = "use \"led.harness\"\nuse \"stock/tape.harness\"\nuse \"hull/deck.harness\"\nuse \"../x.harness\"\n";
        assert_eq!(
            after(text, "/m/ferry.harness", list),
            "use \"../led.harness\"\nuse \"../stock/tape.harness\"\nuse \"deck.harness\"\nuse \"../../x.harness\"\n"
        );
        let only_its_name = &[("/m/ferry.harness", "/m/boat.harness")];
        assert_eq!(after(text, "/m/ferry.harness", only_its_name), text);
        assert_eq!(
            after("use \"ferry.harness\"", "/m/ferry.harness", only_its_name),
            "use \"boat.harness\""
        );
    }

    #[test]
    fn a_folder_moves() {
        let list = &[("/m/hull", "/m/boats/hull")];
        // What moves together stays as it is.
        let inside = "use \"led.harness\"\nuse \"../tape.harness\"\n";
        assert_eq!(
            after(inside, "/m/hull/a.harness", list),
            "use \"led.harness\"\nuse \"../../tape.harness\"\n"
        );
        assert_eq!(
            after("use \"hull/led.harness\"", "/m/a.harness", list),
            "use \"boats/hull/led.harness\""
        );
        assert_eq!(
            after("use \"hull-2/led.harness\"", "/m/a.harness", list),
            "use \"hull-2/led.harness\""
        );
        let all = &[("/m", "/models")];
        assert_eq!(after(inside, "/m/hull/a.harness", all), inside);
    }

    #[test]
    fn odd_names() {
        let list = &[("/m/led.harness", "/m/9\" led.harness")];
        assert_eq!(
            after("use \"led.harness\"", "/m/a.harness", list),
            "use \"9\\\" led.harness\""
        );
        for odd in [
            "use \"\"",
            "use \"/m/led.harness\"",
            "use \"../../../led.harness\"",
            "use",
        ] {
            assert_eq!(after(odd, "/m/a.harness", list), odd);
        }
        // A text that lacks its end is read up to the end of the line.
        assert_eq!(
            after("use \"led.harness", "/m/a.harness", list),
            "use \"9\\\" led.harness\""
        );
        assert_eq!(moved_paths("use \"a\"", "a", "b", &|_| None), []);
    }

    fn place() -> impl Strategy<Value = String> {
        let parts = prop::collection::vec(prop_oneof![Just("a"), Just("b"), Just("c")], 1..4);
        parts.prop_map(|parts| format!("/{}.harness", parts.join("/")))
    }

    proptest! {
        /// Wherever a file and what it uses go, its path leads there, and is found again when all goes back.
        #[test]
        fn a_path_leads_to_where_its_file_went(from in place(), to in place(), used in place(), goes_to in place()) {
            let folder_of = |place: &str| folder(place).unwrap().to_owned();
            prop_assume!((from == used) == (to == goes_to));
            let path = between(&folder_of(&from), &used, false).unwrap();
            let text = format!("use \"{path}\"\n");
            let moved = |place: &str| (place == used).then(|| goes_to.clone());
            let mut now = text.clone();
            for (span, new) in moved_paths(&text, &from, &to, &moved) {
                now.replace_range(span.range(), &new);
            }
            let written = &used_paths(&now)[0].path;
            prop_assert_eq!(led_to(&folder_of(&to), written), Some(goes_to.clone()));
        }
    }
}
