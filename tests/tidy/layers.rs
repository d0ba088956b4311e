//! The rooms of the crate and who may know whom (see DEVELOPERS.md).

use super::{files, root};

/// From the lowest to the highest; a room may name itself and those in lower rows, and rooms of
/// one row only as listed in [`SIDEWAYS`].
const ROOMS: &[&[&str]] = &[
    &["units"],
    &["numbers"],
    &["text"],
    &["syntax"],
    &["format"],
    &["plan"],
    &["circuit"],
    &["rewrites", "checks"],
    &["suspects"],
    &["parts"],
    &["editor", "papers"],
    &["server"],
];

/// Checks offer rewrites as mends.
const SIDEWAYS: &[(&str, &str)] = &[("checks", "rewrites")];

/// The outside world, which only the server may know.
const OUTSIDE: &[&str] = &["lsp_types", "tower_lsp", "tokio"];

fn level(room: &str) -> Option<usize> {
    ROOMS.iter().position(|row| row.contains(&room))
}

#[test]
fn rooms_name_only_lower_rooms() {
    let mut wrong = Vec::new();
    for path in files("src", &[".rs"]) {
        let inside = path.strip_prefix(root().join("src")).unwrap();
        let room = inside
            .components()
            .next()
            .unwrap()
            .as_os_str()
            .to_string_lossy()
            .replace(".rs", "");
        let Some(own) = level(&room) else { continue };
        let text = std::fs::read_to_string(&path).unwrap();
        for (number, line) in text.lines().enumerate() {
            let code = line.split("//").next().unwrap_or("");
            for (above, row) in ROOMS.iter().enumerate() {
                for other in *row {
                    let named = code.contains(&format!("crate::{other}"))
                        || code.contains(&format!("glimloom::{other}"));
                    let allowed =
                        above < own || *other == room || SIDEWAYS.contains(&(&room, other));
                    if named && !allowed {
                        wrong.push(format!(
                            "{}:{}: {room} names {other}",
                            inside.display(),
                            number + 1
                        ));
                    }
                }
            }
            if room != "server" {
                for world in OUTSIDE.iter().filter(|w| code.contains(&format!("{w}::"))) {
                    wrong.push(format!(
                        "{}:{}: {room} names {world}",
                        inside.display(),
                        number + 1
                    ));
                }
            }
        }
    }
    assert!(
        wrong.is_empty(),
        "a lower room names a higher one:\n{}",
        wrong.join("\n")
    );
}

#[test]
fn only_the_text_room_knows_the_rope() {
    let users: Vec<String> = files("src", &[".rs"])
        .into_iter()
        .filter(|p| !p.starts_with(root().join("src/text")))
        .filter(|p| std::fs::read_to_string(p).unwrap().contains("ropey::"))
        .map(|p| p.display().to_string())
        .collect();
    assert!(
        users.is_empty(),
        "ropey is named outside src/text: {users:?}"
    );
}

#[test]
fn every_room_is_on_the_map() {
    let map = std::fs::read_to_string(root().join("DEVELOPERS.md")).unwrap();
    for room in ROOMS.iter().copied().flatten() {
        assert!(
            map.contains(&format!("`{room}")),
            "DEVELOPERS.md says nothing of the room `{room}`"
        );
    }
}
