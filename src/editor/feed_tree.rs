//! The way of the power as a tree that is opened step by step: what feeds an item, and what it feeds.

use super::mentions::{Mentions, Thing};
use super::symbols::detail;
use super::target::{self, On};
use crate::checks::Analysis;
use crate::plan::{FileId, ItemId, Link, Plan, Target};
use crate::syntax::tree::Clause;
use crate::text::Span;

/// An item of the tree.
#[derive(Clone, Debug, PartialEq)]
pub struct Node {
    /// Its name, by which it is found again.
    pub name: String,
    /// Its word and its figures, and how it is joined to the item that was asked about.
    pub detail: String,
    /// The file that its stanza stands in; of a piece of a copy, the pattern's piece.
    pub file: FileId,
    /// The stanza, without the comments around it.
    pub span: Span,
    /// The name in it.
    pub name_span: Span,
}

/// The items that the word at this byte names: one; of a pattern's piece, that of each copy.
pub fn prepare(a: &Analysis, file: FileId, offset: usize) -> Vec<Node> {
    let plan = &a.plan;
    let here = Mentions::new(plan).at(file, offset);
    let Some(mention) = here.first() else {
        return Vec::new();
    };
    let stanza = match &mention.thing {
        Thing::Stanza(id) => Some(*id),
        _ => None,
    };
    // The very one that is named: a piece of one copy, the board of an output.
    if let Some(On::Name { definition, .. }) = target::at(plan, file, offset).map(|spot| spot.on)
        && let Some(Target::Item(item)) = definition.target
        && stanza.is_none_or(|stanza| stanza == definition.stanza)
    {
        return node(a, item, None).into_iter().collect();
    }
    let items = (0..plan.items.len()).map(ItemId);
    items
        .filter(|item| Some(plan.items[item.0].stanza) == stanza)
        .filter_map(|item| node(a, item, None))
        .collect()
}

/// What feeds the item of this name: what it is `from` and returns to, and the other ends of its links; with the
/// place of the name there.
pub fn feeders(a: &Analysis, name: &str) -> Vec<(Node, Span)> {
    let Some(item) = a.plan.item(name) else {
        return Vec::new();
    };
    joins(&a.plan)
        .filter(|join| join.fed == item)
        .filter_map(|join| node(a, join.feeder, Some(join.how)))
        .map(|node| {
            let place = node.name_span;
            (node, place)
        })
        .collect()
}

/// What the item of this name feeds; with the words that say so, where they stand in its own file, else its name.
pub fn fed(a: &Analysis, name: &str) -> Vec<(Node, Span)> {
    let plan = &a.plan;
    let Some((item, own)) = plan.item(name).and_then(|i| Some((i, node(a, i, None)?))) else {
        return Vec::new();
    };
    joins(plan)
        .filter(|join| join.feeder == item)
        .filter_map(|join| {
            let words = words(plan, &join).filter(|(file, _)| *file == own.file);
            let place = words.map_or(own.name_span, |(_, span)| span);
            Some((node(a, join.fed, Some(join.how))?, place))
        })
        .collect()
}

/// Two items of which one feeds the other.
struct Join<'a> {
    feeder: ItemId,
    fed: ItemId,
    how: How<'a>,
}

/// How one feeds the other.
#[derive(Clone, Copy)]
enum How<'a> {
    From,
    Return,
    /// Either way; `true`: the feeder is the end that is named first.
    Link(&'a Link, bool),
}

/// Every join of a plan.
fn joins(plan: &Plan) -> impl Iterator<Item = Join<'_>> {
    let feeds = plan.items.iter().enumerate().flat_map(|(index, item)| {
        let fed = ItemId(index);
        let feed = item.feed.iter();
        feed.flat_map(move |feed| {
            let from = feed.from.item;
            let back = feed.back.map(|point| point.item);
            let join = move |feeder, how| Join { feeder, fed, how };
            let back = back.filter(|back| *back != from);
            [
                Some(join(from, How::From)),
                back.map(|b| join(b, How::Return)),
            ]
        })
    });
    let links = plan.links.iter().flat_map(|link| {
        let (one, two) = (link.ends.0.item, link.ends.1.item);
        let join = |feeder, fed, first| {
            (feeder != fed).then_some(Join {
                feeder,
                fed,
                how: How::Link(link, first),
            })
        };
        [join(one, two, true), join(two, one, false)]
    });
    feeds.chain(links).flatten()
}

/// The name in the text that joins the two.
fn words(plan: &Plan, join: &Join) -> Option<(FileId, Span)> {
    let (stanza, place) = match join.how {
        How::Link(link, first) => (link.stanza, usize::from(!first)),
        _ => (plan.items[join.fed.0].stanza, 0),
    };
    let tree = plan.stanza(stanza);
    let clause: Option<&Clause> = match join.how {
        How::From => tree.clause("from"),
        How::Return => tree.clause("from").and_then(|from| from.part("return")),
        How::Link(..) => tree.clause("between"),
    };
    let (_, span) = clause?.names().nth(place)?;
    Some((stanza.file, plan.in_file(stanza, span)))
}

fn node(a: &Analysis, item: ItemId, how: Option<How>) -> Option<Node> {
    let plan = &a.plan;
    let of = plan.items.get(item.0)?;
    let stanza = plan.stanza(of.stanza);
    let (_, name_span) = stanza.name()?;
    let mut words = of.word.word().to_owned();
    if let Some(figures) = detail(plan, &a.solution, item) {
        words += &format!(" {figures}");
    }
    match how {
        Some(How::Return) => words += ", by the return",
        Some(How::Link(link, _)) => words += &format!(", by link {}", link.name.0),
        Some(How::From) | None => {}
    }
    Some(Node {
        name: of.name.0.to_string(),
        detail: words,
        file: of.stanza.file,
        span: plan.in_file(of.stanza, stanza.core_span()),
        name_span: plan.in_file(of.stanza, name_span),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::plan::{Alone, FileKey};

    const PLAN: &str = "\
led pearl drops 3.0 V at 20 mA
module flasher works 6 V to 13 V draws 3 mA
  output a 60 mA
  output b 40 mA sinks
wire fine gauge 32 AWG insulation enamel
supply cell 12 V 1 A
joint keel from cell
joint bow  from keel over 90 mm of fine
board blink of flasher from keel
lamp mast of pearl resistor 1 kohm from blink.a
lamp stern of pearl resistor 1 kohm from keel return to blink.b
link ring between bow and cell over 90 mm of fine
pattern wing
lamp wing.tip of pearl resistor 1 kohm from wing
copy port of wing from bow
copy star of wing from bow
scene dusk off port.tip
lamp lost of pearl from
";

    fn analysed() -> Analysis {
        Analysis::of(FileKey::new("plan"), PLAN.into(), &Alone, &|| false)
    }

    /// Each as `name (detail) where`, with the line of the place.
    fn shown(nodes: Vec<(Node, Span)>) -> Vec<String> {
        let line = |span: Span| PLAN[span.start as usize..].lines().next().unwrap_or("");
        let one = |(node, place): (Node, Span)| {
            let inside = node.span.start <= node.name_span.start;
            assert!(inside && node.name_span.end <= node.span.end);
            let kind = node.detail.split_whitespace().next().unwrap_or("");
            let how = node.detail.split_once(", ").map_or("", |(_, how)| how);
            let all = format!("{} ({kind}) {how} @ {}", node.name, line(place));
            all.replace("  ", " ")
        };
        nodes.into_iter().map(one).collect()
    }

    #[test]
    fn what_feeds_an_item() {
        let a = analysed();
        assert_eq!(
            shown(feeders(&a, "cell")),
            ["bow (joint) by link ring @ bow from keel over 90 mm of fine"]
        );
        assert_eq!(
            shown(feeders(&a, "mast")),
            ["blink (board) @ blink of flasher from keel"]
        );
        assert_eq!(
            shown(feeders(&a, "stern")),
            [
                "keel (joint) @ keel from cell",
                "blink (board) by the return @ blink of flasher from keel"
            ]
        );
        assert_eq!(
            shown(feeders(&a, "port.tip")),
            ["port (copy) @ port of wing from bow"]
        );
        assert_eq!(shown(feeders(&a, "nothing")), [""; 0]);
    }

    #[test]
    fn what_an_item_feeds() {
        let a = analysed();
        assert_eq!(
            shown(fed(&a, "keel")),
            [
                "bow (joint) @ keel over 90 mm of fine",
                "blink (board) @ keel",
                "stern (lamp) @ keel return to blink.b"
            ]
        );
        assert_eq!(
            shown(fed(&a, "blink")),
            [
                "mast (lamp) @ blink.a",
                "stern (lamp) by the return @ blink.b"
            ]
        );
        assert_eq!(
            shown(fed(&a, "bow")),
            [
                "port (copy) @ bow",
                "star (copy) @ bow",
                "cell (supply) by link ring @ bow and cell over 90 mm of fine"
            ]
        );
        assert_eq!(shown(fed(&a, "port")), ["port.tip (lamp) @ wing"]);
    }

    #[test]
    fn where_the_tree_begins() {
        let a = analysed();
        let begins = |words: &str, skip: usize| {
            let offset = PLAN.find(words).unwrap() + skip;
            let nodes = prepare(&a, FileId(0), offset).into_iter();
            nodes.map(|node| node.name).collect::<Vec<_>>()
        };
        assert_eq!(begins("keel from", 0), ["keel"]);
        assert_eq!(begins("blink.a", 0), ["blink"]);
        assert_eq!(begins("blink.a", 6), ["blink"]);
        assert_eq!(begins("tip of", 0), ["port.tip", "star.tip"]);
        assert_eq!(begins("port.tip", 5), ["port.tip"]);
        assert_eq!(begins("port.tip", 0), ["port"]);
        for none in ["pearl drops", "dusk", "supply cell", "lost of", "90 mm"] {
            assert_eq!(begins(none, 0), [""; 0], "{none}");
        }
        let node = &prepare(&a, FileId(0), PLAN.find("mast of").unwrap())[0];
        assert_eq!(node.detail, "lamp 12 V 9.15 mA");
    }
}
