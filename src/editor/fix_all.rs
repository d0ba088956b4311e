//! Every mend at once, as one action: its title says what could not be settled.

use super::actions::{Action, ActionKind};
use super::rows::whole_in_rows;
use crate::checks::Analysis;
use crate::checks::fix_all::FixAll;
use crate::circuit::Stop;
use crate::numbers::count;
use crate::plan::{FileId, Severity};

/// So many of the findings that are left are named.
const NAMED: usize = 2;

/// All that can be mended in a plan, its used files included; `None` where nothing can.
pub fn fix_all(a: &Analysis, stop: Stop) -> Option<Action> {
    let done = a.fix_all(stop);
    if stop() {
        return None;
    }
    as_action(a, &done)
}

/// What was mended as an action; `None` where nothing was.
pub fn as_action(a: &Analysis, done: &FixAll) -> Option<Action> {
    if done.mended.is_empty() {
        return None;
    }
    let mut edits = Vec::new();
    for (key, text) in a.changed_files(&done.after) {
        let file = a.plan.files.iter().position(|f| f.key == key)?;
        let old = &a.plan.files[file].text;
        let edited = whole_in_rows(old, text).into_iter();
        edits.extend(edited.map(|(span, new)| (FileId(file), span, new)));
    }
    let mends = count(done.mended.len(), "mend");
    let all = match done.is_cut_short {
        true => "mend as much as can be tried at once",
        false => "mend all that can be mended",
    };
    Some(Action {
        title: format!("{all}: {mends}; {}", left(&done.after)),
        kind: ActionKind::FixAll,
        edits,
        ..Action::default()
    })
}

/// What is left: `nothing is left`, `left: 1 error, 2 warnings (tape-starved on row, …)`.
fn left(after: &Analysis) -> String {
    let mut findings: Vec<_> = after.findings.iter().collect();
    if findings.is_empty() {
        return "nothing is left".into();
    }
    findings.sort_by_key(|f| std::cmp::Reverse(f.severity));
    let of = |severity, one| {
        let n = findings.iter().filter(|f| f.severity == severity).count();
        (n > 0).then(|| count(n, one))
    };
    let counts = [
        of(Severity::Error, "error"),
        of(Severity::Warning, "warning"),
        of(Severity::Hint, "hint"),
    ];
    let counts: Vec<String> = counts.into_iter().flatten().collect();
    let mut named: Vec<String> = findings
        .iter()
        .take(NAMED)
        .map(|f| match &f.item {
            Some(item) => format!("{} on {}", f.check, item.0),
            None => f.check.into(),
        })
        .collect();
    if findings.len() > NAMED {
        named.push("…".into());
    }
    format!("left: {} ({})", counts.join(", "), named.join(", "))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::{Alone, FileKey};

    fn plan(text: &str) -> Analysis {
        Analysis::of(FileKey::new("plan"), text.into(), &Alone, &|| false)
    }

    fn applied(text: &str, action: &Action) -> String {
        let mut text = text.to_owned();
        for (_, span, new) in action.edits.iter().rev() {
            text.replace_range(span.range(), new);
        }
        text
    }

    const TROUBLE: &str = "\
wire fine # the hair
  gauge 32 AWG
  insulation enamel
  colours red, green

tape warm
  group 3 lamps long 25 mm
  works 7 V to 12.6 V
  draws 18 mA at 12 V
led pearl
  drops 3.0 V at 20 mA
  colour white
supply adapter 12 V 1 A
joint keel from adapter over 100 mm of fine # no fuse
strip saloon of warm 7 lamps from keel over 40 mm of fine
lamp mast of pearl from keel over 90 mm of fine
joint aft from kel over 50 mm of fine
";

    #[test]
    fn all_that_can_be_mended_is_in_one_go() {
        let a = plan(TROUBLE);
        let found: Vec<_> = a.findings.iter().map(|f| f.check).collect();
        assert!(found.len() >= 4, "{found:?}");
        let action = fix_all(&a, &|| false).unwrap();
        let text = applied(TROUBLE, &action);
        let after = plan(&text);
        assert_eq!(after.findings, [], "{text}");
        assert!(
            action.title.ends_with("nothing is left"),
            "{}",
            action.title
        );
        // What had no fault is as it was, comments too.
        assert!(
            text.starts_with(&TROUBLE[..TROUBLE.find("supply").unwrap()]),
            "{text}"
        );
        assert!(text.contains("# no fuse"), "{text}");
    }

    /// A lamp that two mends change, in a row that stands in columns.
    #[test]
    fn what_stood_in_columns_does_so_afterwards() {
        let text = "\
wire   fine gauge 32 AWG insulation enamel
led    pearl drops 3.0 V at 20 mA colour white

supply adapter 12 V 1 A
fuse   F1 400 mA          from adapter
joint  keel               from F1   over 100 mm of fine
lamp   a of pearl         from keel over 40 mm of fine
lamp   b of pearl         from keel over 50 mm of fine
";
        let unlaid = |text: &str| crate::format::document(&crate::syntax::read_file(text));
        let rows = |text: &str| unlaid(&text[text.find("supply").unwrap()..]);
        assert_eq!(rows(text), []);
        let action = fix_all(&plan(text), &|| false).unwrap();
        let after = applied(text, &action);
        assert!(after.contains("resistor"), "{after}");
        assert_eq!(rows(&after), [], "{after}");
    }

    #[test]
    fn what_cannot_be_settled_is_told() {
        let text = format!("{TROUBLE}load heater draws 2 A from nowhere\nsupply mains 230 V\n");
        let action = fix_all(&plan(&text), &|| false).unwrap();
        let left = action.title.split_once("left: ").unwrap().1;
        assert!(left.contains("above-low-voltage on mains"), "{left}");
    }

    #[test]
    fn where_nothing_can_be_mended_nothing_is_offered() {
        assert_eq!(fix_all(&plan(""), &|| false), None);
        assert_eq!(fix_all(&plan("supply mains 230 V\n"), &|| false), None);
    }

    #[test]
    fn twice_changes_nothing_more() {
        let text = applied(TROUBLE, &fix_all(&plan(TROUBLE), &|| false).unwrap());
        assert_eq!(fix_all(&plan(&text), &|| false), None);
    }
}
