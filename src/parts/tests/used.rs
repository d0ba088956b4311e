//! Plans whose stanzas stand in several files, which change under them.

use super::*;
use crate::syntax::vocabulary::StanzaWord;

/// The names of used files; one of them is the plan itself.
const NAMES: [&str; 5] = ["stock", "n", "deck", "stack", "p"];

/// A plan with some of its stanzas in other files, and `use` lines for those.
fn split(random: &mut TestRng, text: &str, only_stock: bool) -> (String, Files) {
    let file = crate::syntax::read_file(text);
    let count = random.random_range(1..4);
    let mut own = String::new();
    let mut others: Vec<String> = vec![String::new(); count];
    let mut here = 0;
    for placed in &file.stanzas {
        let stanza = &placed.stanza;
        let word = stanza.word;
        let may_go = match only_stock {
            true => word.is_some_and(StanzaWord::is_stock),
            false => word != Some(StanzaWord::Harness),
        };
        if random.random_bool(0.3) {
            here = random.random_range(0..=count);
        }
        let to = match may_go && here > 0 {
            true => &mut others[here - 1],
            false => &mut own,
        };
        to.push_str(&stanza.text);
        if !to.ends_with('\n') {
            to.push('\n');
        }
    }
    for (k, _) in NAMES.iter().enumerate().take(count) {
        // By the plan's own file, or by one that is used already; now and then by both.
        if k == 0 || random.random_bool(0.7) {
            own = with_use(random, &own, NAMES[k]);
        } else {
            let by = random.random_range(0..k);
            others[by] = with_use(random, &others[by].clone(), NAMES[k]);
        }
    }
    let files = NAMES.iter().zip(others);
    let files = files.map(|(name, text)| (name.to_string(), Arc::from(text)));
    (own, files.collect())
}

/// A text with one more `use`, before one of its stanzas or at its end.
fn with_use(random: &mut TestRng, text: &str, name: &str) -> String {
    let line = format!("use \"{name}\"\n");
    let stanzas = crate::syntax::read_file(text).stanzas;
    let at = match stanzas.len() {
        0 => 0,
        n => stanzas[random.random_range(0..n)].start as usize,
    };
    format!("{}{line}{}", &text[..at], &text[at..])
}

/// Something happens to the files that are used.
fn change_files(random: &mut TestRng, files: &mut Files) -> String {
    let name = NAMES[random.random_range(0..NAMES.len())];
    let text = files.get(name).cloned().unwrap_or_default();
    match random.random_range(0..8) {
        0 => {
            files.remove(name);
            format!("{name} is gone")
        }
        1 => {
            files.insert(name.into(), "tape brass\nzone z\n".into());
            format!("{name} is there")
        }
        2 => {
            let used = NAMES[random.random_range(0..NAMES.len())];
            files.insert(name.into(), with_use(random, &text, used).into());
            format!("{name} uses {used}")
        }
        _ => {
            let (start, end, new) = edit(random, &text);
            let mut text = text.to_string();
            text.replace_range(start..end, &new);
            files.insert(name.into(), text.into());
            format!("{name} at {start} to {end}: {new:?}")
        }
    }
}

#[test]
fn stanzas_in_several_files() {
    for (k, (name, text)) in plans().iter().enumerate() {
        let mut random = seeded(5_000 + k as u64);
        for only_stock in [true, false] {
            let (own, files) = split(&mut random, text, only_stock);
            hold(&parts_of(&own, &files), &own, &files, name);
        }
    }
}

/// The stock of a street stands in a file of its own: it is cut as it is without that.
#[test]
fn a_street_with_a_stock_file() {
    let head = include_str!("../street.head.harness");
    let text = street(4);
    let rest = text.strip_prefix(head).unwrap();
    let files = Files::from([("stock".to_owned(), Arc::from(head))]);
    let own = format!("use \"stock\"\n{rest}");
    let parts = parts_of(&own, &files);
    assert_eq!((parts.parts.len(), parts.is_whole), (4, false));
    hold(&parts, &own, &files, "stock in a file");
    // And each house in a file of its own.
    let mut files = files;
    let mut own = "use \"stock\"\n".to_owned();
    for k in 1..=4 {
        let house = include_str!("../street.unit.harness").replace("{k}", &k.to_string());
        files.insert(format!("house-{k}"), house.into());
        own += &format!("use \"house-{k}\"\n");
    }
    let parts = parts_of(&own, &files);
    assert_eq!((parts.parts.len(), parts.is_whole), (4, false));
    hold(&parts, &own, &files, "houses in files");
}

/// Edits of the plan's own file and of those that it uses, and looks that are broken off.
fn changed(random: &mut TestRng, first: &str, files: &mut Files, rounds: usize, what: &str) {
    let mut document = Document::new(first, None);
    let mut parts = parts_of(first, files);
    let mut mark = document.mark().unwrap();
    let mut said = vec![what.to_owned()];
    for _ in 0..rounds {
        if random.random_bool(0.4) {
            said.push(change_files(random, files));
            parts.forget_uses();
        }
        if random.random_bool(0.7) {
            let text = document.text().unwrap().clone();
            let (start, end, text) = match random.random_range(0..4) {
                0 => {
                    let name = NAMES[random.random_range(0..NAMES.len())];
                    (0, text.len(), with_use(random, &text, name))
                }
                _ => edit(random, &text),
            };
            said.push(format!("{start} to {end}: {text:?}"));
            let lines = document.lines().unwrap();
            let range = Some(lines.positions(Span::between(start, end), Encoding::Utf8));
            let change = Change { range, text };
            document.apply(vec![change], None, Encoding::Utf8).unwrap();
        }
        for _ in 0..random.random_range(0..3) {
            let left = AtomicI64::new(random.random_range(0..40));
            let may_begin = random.random_bool(0.5);
            let patience = Patience {
                stop: &|| left.fetch_sub(1, Ordering::Relaxed) <= 0,
                may_begin: &|_| may_begin,
            };
            let touched = document.touched_since(mark);
            mark = document.mark().unwrap();
            parts.update(document.lines().unwrap(), touched, files, &patience);
        }
        if random.random_bool(0.2) {
            continue;
        }
        let touched = document.touched_since(mark);
        mark = document.mark().unwrap();
        assert!(parts.update(
            document.lines().unwrap(),
            touched,
            files,
            &Patience::ENDLESS
        ));
        let text = document.text().unwrap();
        hold(&parts, text, files, &format!("{said:#?}"));
        let fresh = parts_of(text, files);
        assert_eq!(by_parts(&parts), by_parts(&fresh), "{said:#?}");
        let file = FileId(random.random_range(0..=files.len()));
        parts.view(file, random.random_range(0..=text.len() as u32));
    }
}

#[test]
fn files_of_a_street_change() {
    for seed in 0..scripts(16) {
        let mut random = seeded(6_000 + seed);
        let (own, mut files) = split(&mut random, &street(3), seed % 2 == 0);
        let what = format!("street {seed}");
        changed(&mut random, &own, &mut files, 8, &what);
    }
}

#[test]
fn files_of_plans_of_the_project_change() {
    let plans = plans();
    for seed in 0..scripts(12) {
        let mut random = seeded(7_000 + seed);
        let (name, one) = &plans[random.random_range(0..plans.len())];
        let (other, two) = &plans[random.random_range(0..plans.len())];
        let text = format!("{one}\n{}", renamed(two, "zz"));
        let (own, mut files) = split(&mut random, &text, seed % 3 == 0);
        let what = format!("{name} and {other} {seed}");
        changed(&mut random, &own, &mut files, 5, &what);
    }
}
